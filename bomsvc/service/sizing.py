"""Screws by hand: sizing, torque and threads from typed-in figures, no catalogue.

The core does the computing; here the request is read field by field, with every
problem told at once and by its place.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

from bomsvc.core.fasteners.engagement import required_engagement
from bomsvc.core.fasteners.sizing import size_joint
from bomsvc.core.fasteners.threads import Thread, get_thread
from bomsvc.core.fasteners.torque import (
    DEFAULT_UTILISATION,
    Refusal,
    TorqueAnswer,
    TorqueAsk,
    estimate_torque,
)
from bomsvc.core.fasteners.values import (
    GroupStack,
    Material,
    Need,
    Screw,
    Shelf,
    SizedGroup,
    ThreadState,
    Wanted,
)
from bomsvc.service.sizing_fields import Fields, Problems, as_object
from bomsvc.service.sizing_reading import (
    Asked,
    read_asked,
    read_hole_material,
    read_into,
    read_layers,
    read_lengths,
    read_units,
)

_STATES: tuple[ThreadState, ...] = ("dry", "oiled", "sealant", "locking", "patch")
_FRICTION = Fraction("0.02"), Fraction("0.60")
_UTILISATION = Fraction("0.3"), Fraction("1")


class SizedByHand(NamedTuple):
    """A screw sized from typed-in figures, and its torque or why there is none."""

    sized: SizedGroup
    torque: TorqueAnswer
    inch: bool
    unusual_mm: tuple[Fraction, ...] = ()


class EstimatedByHand(NamedTuple):
    """A torque estimated from typed-in figures."""

    asked: Asked
    answer: TorqueAnswer
    need: Need | None


def size(request: Mapping[str, object]) -> SizedByHand:
    """Size a screw from typed-in figures.

    Args:
        request: As `POST /fasteners/size` takes it. Lengths are in mm, or with
            `"units": "inch"` in inches, the fields then ending in `_in`.

    Raises:
        BadInput: Every field that is wrong, by its JSON pointer.
    """
    top = _open(request)
    asked, shank = read_asked(top)
    layers = read_layers(top, shank)
    into, protrusion = read_into(top, shank)
    engagement = top.length("engagement", positive=True)
    lengths = read_lengths(top)
    threads = top.choice("threads", _STATES, required=False) or "dry"
    friction = top.ratio("friction", *_FRICTION, default=None)
    top.refuse_unknown()
    top.problems.raise_any()
    assert asked is not None, "a request without problems names a screw"
    assert into is not None, "a request without problems says where to"
    group = GroupStack(
        code="by_hand",
        into=into,
        layers=layers,
        wanted=_wanted(asked),
        shelf=_shelf(asked, lengths),
        engagement_mm=engagement,
        protrusion_mm=protrusion,
        threads=threads,
        own_series=not lengths,
    )
    sized = size_joint([group])[0]
    answer = _torque_of(asked, group, sized, friction=friction)
    return SizedByHand(sized, answer, top.inch, _unusual(asked, lengths))


def torque(request: Mapping[str, object]) -> EstimatedByHand:
    """Estimate the torque of a screw from typed-in figures.

    Args:
        request: As `POST /fasteners/torque` takes it: standard, thread,
            property_class, friction, utilisation, optionally engagement_mm and
            hole {material, strength_mpa}, threads, soft.

    Raises:
        BadInput: Every field that is wrong, by its JSON pointer.
    """
    top = _open(request)
    asked, _ = read_asked(top)
    friction = top.ratio("friction", *_FRICTION, default=None)
    share = top.ratio("utilisation", *_UTILISATION, default=DEFAULT_UTILISATION)
    engaged = top.length("engagement", positive=True)
    threads = top.choice("threads", _STATES, required=False) or "dry"
    soft = ("a gasket",) if top.flag("soft") else ()
    material, strength = read_hole_material(top)
    top.refuse_unknown()
    top.problems.raise_any()
    assert asked is not None, "a request without problems names a screw"
    need = _need(asked, material, strength)
    ask = TorqueAsk(
        standard=asked.standard,
        thread=asked.thread,
        property_class=asked.property_class,
        friction=friction,
        utilisation=share or DEFAULT_UTILISATION,
        threads=threads,
        soft=soft,
        engaged_mm=engaged,
        need=need,
        material=material,
    )
    return EstimatedByHand(asked, estimate_torque(ask), need)


def thread(designation: str) -> Thread:
    """Return a thread and its figures.

    Raises:
        BadInput: No such thread is known; the problem names the nearest one.
    """
    return get_thread(designation, "/designation")


def _open(request: Mapping[str, object]) -> Fields:
    raw, problems = as_object(request), Problems()
    top = Fields(raw, "", problems, inch=read_units(raw, problems) == "inch")
    top.allow(("units",))
    return top


def _wanted(asked: Asked) -> Wanted:
    return Wanted(
        (asked.standard.code,), asked.thread.designation, asked.property_class.code
    )


def _shelf(asked: Asked, lengths: tuple[Fraction, ...]) -> Shelf | None:
    if not lengths:
        return None
    return Shelf(
        [
            Screw(
                part=None,
                standard=asked.standard.code,
                thread=asked.thread.designation,
                length_mm=length,
                property_class=asked.property_class.code,
            )
            for length in lengths
        ]
    )


def _unusual(asked: Asked, lengths: tuple[Fraction, ...]) -> tuple[Fraction, ...]:
    series = asked.standard.series(asked.thread.short)
    return tuple(length for length in lengths if length not in series)


def _need(
    asked: Asked, material: Material | None, strength: Fraction | None
) -> Need | None:
    if material is None:
        return None
    return required_engagement(
        asked.thread, asked.property_class, material, strength_mpa=strength
    )


def _torque_of(
    asked: Asked,
    group: GroupStack,
    sized: SizedGroup,
    *,
    friction: Fraction | None,
) -> TorqueAnswer:
    engaged = sized.engagement_mm
    ask = TorqueAsk(
        standard=asked.standard,
        thread=asked.thread,
        property_class=asked.property_class,
        friction=friction,
        threads=group.threads,
        soft=tuple(layer.name for layer in group.layers if layer.soft),
        engaged_mm=engaged[0] if engaged else None,
        need=sized.need,
    )
    answer = estimate_torque(ask)
    if sized.chosen is not None:
        return answer
    missing = Refusal("no_screw", "No screw fits, so there is nothing to tighten.")
    return TorqueAnswer(
        friction=answer.friction,
        friction_class=answer.friction_class,
        utilisation=answer.utilisation,
        refused=(missing, *answer.refused),
    )
