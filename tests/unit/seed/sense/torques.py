"""Stated torques, held against what the screw itself bears."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import pairwise

from bomsvc.core.catalogue.entities import Joint, Pass
from bomsvc.core.fasteners.names import get_class, get_screw_standard
from bomsvc.core.fasteners.threads import get_thread
from bomsvc.core.fasteners.torque import TorqueAsk, estimate_torque
from bomsvc.core.fasteners.values import Chosen
from tests.unit.seed.sense.engine import Case, Engine

LEAST_SHARE = Decimal("0.25")
"""Below a quarter of what it bears a screw loosens: common practice, no source.
The estimate is VDI 2230's at a friction of 0.12 and 90 % of the yield strength."""
NUT_BEARING = "ISO 4014"
"""A nut ISO 4032 bears on the width across flats of a hexagon head ISO 4014."""


def limit_nm(chosen: Chosen) -> Decimal:
    """The estimate for a screw, or for the nut on a stud, by thread and class."""
    standard = NUT_BEARING if chosen.origin == "stud" else chosen.standard
    found = estimate_torque(
        TorqueAsk(
            get_screw_standard(standard),
            get_thread(chosen.thread),
            get_class(chosen.property_class),
        )
    ).torque_nm
    assert found is not None, chosen
    return found


def torques_out_of_band(engine: Engine) -> list[str]:
    return list(dict.fromkeys(_out_of_band(engine)))


def _out_of_band(engine: Engine) -> Iterator[str]:
    for case in engine.cases:
        passes = passes_of(case)
        stated = [one.torque_nm for one in passes if one.torque_nm is not None]
        if case.sized.chosen is None:
            continue
        limit = limit_nm(case.sized.chosen)
        name = f"{case.place} ({case.sized.chosen.designation}, estimate {limit} Nm)"
        if not stated:
            yield f"{name}: no torque is stated"
            continue
        for torque in stated:
            if torque > limit:
                yield f"{name}: {torque} Nm is more than the screw bears"
        if stated[-1] < LEAST_SHARE * limit:
            yield f"{name}: {stated[-1]} Nm is too little to hold"


def passes_of(case: Case) -> list[Pass]:
    passes = case.joint.tighten.passes if case.joint.tighten else ()
    return [one for one in passes if not one.groups or case.group.code in one.groups]


def angles_after_no_snug_torque(engine: Engine) -> list[str]:
    """An angle is turned from a torque that only snugs the joint."""
    return list(dict.fromkeys(_angles(engine)))


def _angles(engine: Engine) -> Iterator[str]:
    for case in engine.cases:
        snug: Decimal | None = None
        chosen = case.sized.chosen
        for one in passes_of(case):
            if one.torque_nm is not None:
                snug = one.torque_nm
            if one.angle_deg is None or chosen is None:
                continue
            if snug is None:
                yield f"{case.place}: an angle of {one.angle_deg} ° from no torque"
            elif snug >= limit_nm(chosen):
                yield f"{case.place}: {snug} Nm leaves nothing for the angle"


def torques_that_fall(engine: Engine) -> list[str]:
    """Each torque pass is tighter than the one before."""
    return [
        f"{joint.code}: {torques} Nm does not rise from pass to pass"
        for joint in engine.catalogue.joints
        for torques in _by_group(joint)
        if any(b <= a for a, b in pairwise(torques))
    ]


def _by_group(joint: Joint) -> Iterator[list[Decimal]]:
    passes = joint.tighten.passes if joint.tighten else ()
    for group in joint.groups:
        yield [
            one.torque_nm
            for one in passes
            if one.torque_nm is not None
            and (not one.groups or group.code in one.groups)
        ]
