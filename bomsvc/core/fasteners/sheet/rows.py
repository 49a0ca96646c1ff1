"""The table of a joint sheet: one letter and shape per kind of screw."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from bomsvc.core.fasteners.candidates import figure, length_text
from bomsvc.core.fasteners.names import find_class, find_screw_standard
from bomsvc.core.fasteners.sentences import failure_detail
from bomsvc.core.fasteners.sheet.values import (
    Letter,
    Shape,
    SheetAsk,
    SheetGroup,
    SheetRow,
)
from bomsvc.core.fasteners.threads import find_thread
from bomsvc.core.fasteners.torque import TorqueAnswer, TorqueAsk, estimate_torque
from bomsvc.core.fasteners.values import BlindHole, Chosen, StudInto, TappedThrough

SHAPES: tuple[Shape, ...] = (
    "circle",
    "square",
    "triangle",
    "diamond",
    "hexagon",
    "kite",
    "pentagon",
    "slab",
)
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Without I and O, which are taken for figures on a greasy sheet."""
TINTS = 5
MIX_WITHIN_MM = Fraction(10)
"""Lengths nearer than this are easily mixed: common practice, no source."""

CONDITIONS = {
    "dry": "clean and dry",
    "oiled": "oiled lightly",
    "sealant": "with sealant",
    "locking": "with locking compound",
    "patch": "with its locking patch, unused",
}


def letters_of(groups: Sequence[SheetGroup]) -> tuple[Letter, ...]:
    """A letter per group; groups that take the same screw share theirs."""
    kinds = list(dict.fromkeys(_kind(group) for group in groups))
    return tuple(_letter(kinds.index(_kind(group))) for group in groups)


def rows_of(ask: SheetAsk) -> tuple[SheetRow, ...]:
    """The table: one row per letter, in group order."""
    letters = letters_of(ask.groups)
    return tuple(
        _row(
            letter,
            [g for g, own in zip(ask.groups, letters, strict=True) if own == letter],
            ask.friction,
        )
        for letter in dict.fromkeys(letters)
    )


def mix_notes(rows: Sequence[SheetRow], ask: SheetAsk) -> tuple[str, ...]:
    """A warning for each pair of letters whose lengths are easily mixed."""
    letters = letters_of(ask.groups)
    first = {
        letter: group.sized.chosen
        for letter, group in reversed(list(zip(letters, ask.groups, strict=True)))
    }
    notes = []
    for index, one in enumerate(rows):
        for other in rows[index + 1 :]:
            ours, theirs = first[one.letter], first[other.letter]
            if ours is None or theirs is None or not _same_shank(ours, theirs):
                continue
            apart = abs(ours.length_mm - theirs.length_mm)
            if 0 < apart <= MIX_WITHIN_MM:
                notes.append(
                    f"Do not mix {one.letter.letter} and {other.letter.letter}: "
                    f"{_shown(ours)} and {_shown(theirs)} look alike."
                )
    return tuple(notes)


def hole_of(group: SheetGroup) -> BlindHole | TappedThrough | None:
    """The tapped hole of a group; None where a nut takes the screw."""
    into = group.stack.into
    inner = into.hole if isinstance(into, StudInto) else into
    return inner if isinstance(inner, BlindHole | TappedThrough) else None


def condition_of(group: SheetGroup) -> str:
    """How the threads go in: sealed where the hole breaks into a fluid."""
    said = CONDITIONS[group.stack.threads]
    hole = hole_of(group)
    wet = hole.breaks_into if hole else "none"
    if wet == "none":
        return said
    if group.stack.threads == "sealant":
        return f"{said}: the hole breaks into {wet}"
    return f"{said}, and with sealant: the hole breaks into {wet}"


def _kind(group: SheetGroup) -> tuple[str, ...]:
    chosen = group.sized.chosen
    if chosen is None:
        return ("none", group.sized.code)
    return ("screw", chosen.part or "", chosen.designation, chosen.finish or "")


def _letter(index: int) -> Letter:
    turn, place = divmod(index, len(_LETTERS))
    name = _LETTERS[place] * (turn + 1)
    return Letter(name, SHAPES[index % len(SHAPES)], index % TINTS)


def _row(
    letter: Letter, groups: Sequence[SheetGroup], friction: Fraction | None
) -> SheetRow:
    chosen = groups[0].sized.chosen
    thread = find_thread(chosen.thread) if chosen else None
    size = f"{thread.short} x {_length(chosen)}" if chosen and thread else None
    margins = [g.sized.margins for g in groups if g.sized.margins is not None]
    numbers = sorted(hole.number for group in groups for hole in group.holes)
    return SheetRow(
        letter=letter,
        groups=tuple(g.sized.code for g in groups),
        labels=tuple(g.label for g in groups if g.label),
        designation=chosen.designation if chosen else "no screw fits",
        size=size,
        property_class=chosen.property_class if chosen else None,
        holes=tuple(numbers),
        hole_count=sum(g.sized.hole_count for g in groups),
        part=chosen.part if chosen else None,
        part_name=next((g.part_name for g in groups if g.part_name), None),
        least_margin_mm=min((m.least() for m in margins), default=None),
        margins=tuple((g.sized.code, _margins(g)) for g in groups),
        condition="; ".join(dict.fromkeys(condition_of(g) for g in groups)),
        reuse=next((g.reuse for g in groups if g.reuse), None),
        estimate=_estimate(groups, friction),
        trouble=tuple(_trouble(groups)),
    )


def _margins(group: SheetGroup) -> str:
    margins = group.sized.margins
    if margins is None:
        return "-"
    named = (("short", margins.short), ("over", margins.over), ("shank", margins.shank))
    told = [f"{name} {figure(value)}" for name, value in named if value is not None]
    return ", ".join(told)


def _trouble(groups: Sequence[SheetGroup]) -> list[str]:
    told = [f.detail for g in groups for f in g.sized.findings]
    told += [
        failure_detail(g.sized.failure)
        for g in groups
        if g.sized.failure is not None and not g.sized.findings
    ]
    return list(dict.fromkeys(told))


def _estimate(
    groups: Sequence[SheetGroup], friction: Fraction | None
) -> TorqueAnswer | None:
    """The estimate of the group that has most against one: they share a screw."""
    answers = [_answer(group, friction) for group in groups]
    known = [answer for answer in answers if answer is not None]
    return max(known, key=lambda answer: len(answer.refused), default=None)


def _answer(group: SheetGroup, friction: Fraction | None) -> TorqueAnswer | None:
    chosen, engaged = group.sized.chosen, group.sized.engagement_mm
    if chosen is None:
        return None
    standard = find_screw_standard(chosen.standard)
    thread = find_thread(chosen.thread)
    property_class = find_class(chosen.property_class)
    if standard is None or thread is None or property_class is None:
        return None
    return estimate_torque(
        TorqueAsk(
            standard=standard,
            thread=thread,
            property_class=property_class,
            friction=friction,
            threads=group.stack.threads,
            soft=tuple(layer.name for layer in group.stack.layers if layer.soft),
            engaged_mm=engaged[0] if engaged else None,
            need=group.sized.need,
        )
    )


def _same_shank(one: Chosen, other: Chosen) -> bool:
    ours, theirs = find_thread(one.thread), find_thread(other.thread)
    return ours is not None and theirs is not None and ours.shank == theirs.shank


def _shown(chosen: Chosen) -> str:
    return _length(chosen) if chosen.inch else f"{_length(chosen)} mm"


def _length(chosen: Chosen) -> str:
    return length_text(chosen.length_mm, inch=chosen.inch)
