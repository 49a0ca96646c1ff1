"""Holes: unplaced ones, and parts whose number comes from the holes."""

from __future__ import annotations

from collections.abc import Iterator

from bomsvc.core.catalogue.entities import Group, Joint
from bomsvc.core.prove.findings import Finding
from bomsvc.core.prove.ground import Ground
from bomsvc.core.prove.questions import plain
from bomsvc.core.prove.subject import Subject, listed
from bomsvc.core.terms.numbers import decimal_text


def check_holes(subject: Subject, ground: Ground) -> Iterator[Finding]:
    """Yield holes without coordinates or missing from the tightening order."""
    del ground
    for joint in subject.catalogue.joints:
        ordered = _ordered(joint)
        for number, group in enumerate(joint.groups):
            text = "; ".join(_unplaced(joint, group, ordered))
            if text:
                at = f"{joint.code}.{group.code}"
                pointer = subject.pointer("joints", joint.code, "groups", number)
                detail = f"{joint.label}, {group.label or group.code}: {text}."
                yield plain("hole_unplaced", at, pointer, detail)


def _ordered(joint: Joint) -> set[int] | None:
    """Return the holes that some tightening order names; None: none is stated."""
    passes = joint.tighten.passes if joint.tighten else ()
    orders = [one.order for one in passes if one.order]
    return {hole for order in orders for hole in order} if orders else None


def _unplaced(joint: Joint, group: Group, ordered: set[int] | None) -> Iterator[str]:
    del joint
    lost = [str(h.hole) for h in group.holes if h.x is None or h.y is None]
    if lost:
        yield f"no coordinates for {_holes(lost)}"
    if ordered is not None:
        missing = [str(h.hole) for h in group.holes if h.hole not in ordered]
        if missing:
            yield f"{_holes(missing)} not in the tightening order"


def _holes(numbers: list[str]) -> str:
    word = "hole" if len(numbers) == 1 else "holes"
    return f"{word} {listed(numbers, most=12)}"


def check_quantities(subject: Subject, ground: Ground) -> Iterator[Finding]:
    """Yield fitments with a quantity where the holes give it."""
    del ground
    by_holes = {
        key: joint
        for joint in subject.standing.joints.values()
        for group in joint.groups
        for key in (
            *(x.position for x in group.layers if x.layer.per == "hole"),
            group.nut,
            group.stud,
        )
        if key is not None
    }
    seen: set[int] = set()
    for standing in subject.standing.positions.values():
        for fitment in standing.fitments:
            wrong = fitment.fitment.qty != 1 and fitment.index not in seen
            if standing.key in by_holes and wrong:
                seen.add(fitment.index)
                part = subject.part_name(fitment.fitment.part)
                detail = (
                    f"{part} is needed once per hole of "
                    f"'{by_holes[standing.key].joint.label}', so its quantity must be "
                    f"1, not {decimal_text(fitment.fitment.qty)}."
                )
                pointer = f"/fitments/{fitment.index}/qty"
                yield plain("quantity_by_holes", standing.key, pointer, detail)
