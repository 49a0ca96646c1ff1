"""The sheet of a joint whose stack is settled: which screw goes in which hole."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction

from bomsvc.core.catalogue.entities import Group, HolePlace, Part, ReuseLimit, Tighten
from bomsvc.core.fasteners.sheet import (
    Bore,
    HoleSpot,
    JointSheet,
    SheetAsk,
    SheetGroup,
    TighteningPass,
    joint_sheet,
)
from bomsvc.core.fasteners.values import GroupStack, SizedGroup
from bomsvc.core.logic.standing import StandingJoint
from bomsvc.core.resolve.memory import Memory
from bomsvc.core.resolve.sizing import Combination, SizedJoints
from bomsvc.core.resolve.tightening import tightening_of
from bomsvc.core.terms.numbers import decimal_text

Names = tuple[tuple[str, str], ...]
"""Other names for layers: (its part's name, the name to show)."""

_KEPT = 1_000


class _Nothing:
    """No sheet, as something that can be remembered."""


_NOTHING = _Nothing()


class Sheets:
    """The sheets of one catalogue's joints, each combination drawn once."""

    def __init__(self, parts: Mapping[str, Part], sized: SizedJoints) -> None:
        self._parts = parts
        self._sized = sized
        self._kept: Memory[JointSheet | _Nothing] = Memory(_KEPT)

    def of(
        self,
        joint: StandingJoint,
        combination: Combination,
        groups: frozenset[str],
        *,
        opened: bool,
        names: Names = (),
    ) -> JointSheet | None:
        """The sheet of these groups; None where none of them is sized.

        `names`: other names for layers, such as where any of several parts may sit.
        """
        found = self._kept.get(
            (joint.key, combination, groups, opened, names),
            lambda: (
                self._make(joint, combination, groups, opened=opened, names=names)
                or _NOTHING
            ),
        )
        return None if isinstance(found, _Nothing) else found

    def _make(
        self,
        joint: StandingJoint,
        combination: Combination,
        groups: frozenset[str],
        *,
        opened: bool,
        names: Names,
    ) -> JointSheet | None:
        drawn = tuple(self._groups(joint, combination, groups, dict(names)))
        if not drawn:
            return None
        document = joint.joint
        drawing = document.drawing
        there = groups & {situation.group for situation in combination}
        tighten = tightening_of(document, there, opened=opened)
        return joint_sheet(
            SheetAsk(
                code=joint.key,
                label=document.label,
                groups=drawn,
                outline=tuple((Fraction(x), Fraction(y)) for x, y in drawing.outline)
                if drawing
                else (),
                bores=tuple(
                    Bore((Fraction(c.x), Fraction(c.y)), Fraction(c.d))
                    for c in drawing.circles
                )
                if drawing
                else (),
                passes=tuple(_passes(tighten)),
                loosen_order=tighten.loosen_order,
                note=tighten.note,
            )
        )

    def _groups(
        self,
        joint: StandingJoint,
        combination: Combination,
        groups: frozenset[str],
        names: Mapping[str, str],
    ) -> Iterator[SheetGroup]:
        sized = self._sized.of(joint.joint, combination)
        stated = {group.code: group for group in joint.joint.groups}
        for situation in combination:
            form = sized[situation.group]
            stack = self._sized.stack(joint.joint, situation)
            if situation.group in groups and stack and isinstance(form, SizedGroup):
                group = stated[situation.group]
                part = self._part(form)
                yield SheetGroup(
                    stack=_named(stack, names),
                    sized=form,
                    holes=tuple(_spot(hole) for hole in group.holes),
                    label=_label(group),
                    part_name=part.name if part else None,
                    reuse=_reuse(part),
                )

    def _part(self, form: SizedGroup) -> Part | None:
        number = form.chosen.part if form.chosen else None
        return None if number is None else self._parts[number]


def _named(stack: GroupStack, names: Mapping[str, str]) -> GroupStack:
    layers = (replace(x, name=names.get(x.name, x.name)) for x in stack.layers)
    return replace(stack, layers=tuple(layers))


def _label(group: Group) -> str:
    return group.label or group.code


def _spot(hole: HolePlace) -> HoleSpot:
    if hole.x is None or hole.y is None:
        return HoleSpot(hole.hole)
    return HoleSpot(hole.hole, (Fraction(hole.x), Fraction(hole.y)))


def _passes(tighten: Tighten) -> Iterator[TighteningPass]:
    for stated in tighten.passes:
        figures = (
            stated.torque_nm,
            stated.angle_deg,
            stated.loosen_deg,
            stated.stretch_mm,
        )
        exact = (None if f is None else Fraction(f) for f in figures)
        yield TighteningPass(stated.groups, stated.order, *exact)


def _reuse(part: Part | None) -> str | None:
    if part is None or part.reuse == "freely":
        return None
    if isinstance(part.reuse, ReuseLimit):
        return limit_text(part.reuse)
    return "Single use: always renew."


def limit_text(limit: ReuseLimit) -> str:
    """Until when a part that came out may go in again."""
    terms = []
    if limit.max_length_mm is not None:
        terms.append(f"no longer than {decimal_text(limit.max_length_mm)} mm")
    if limit.max_uses is not None:
        terms.append(f"used at most {limit.max_uses} times")
    if limit.inspect is not None:
        terms.append(f"inspected {limit.inspect}")
    return f"May go in again if {', '.join(terms)}." if terms else ""
