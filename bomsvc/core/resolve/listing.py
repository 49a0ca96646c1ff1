"""From places studied to lines: certain ones merged, open ones each by itself."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple
from weakref import WeakKeyDictionary

from bomsvc.core.catalogue.entities import Part, ReuseLimit
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.standing import Key, StandingFitment
from bomsvc.core.resolve.brought import brought_by
from bomsvc.core.resolve.figures import Figures, figures_of, figures_of_members
from bomsvc.core.resolve.items import Item, ItemKey
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.lines import (
    Alternate,
    Limit,
    Line,
    Need,
    Reason,
    State,
)
from bomsvc.core.resolve.memory import Memory
from bomsvc.core.resolve.orders import plain_order
from bomsvc.core.resolve.placing import LineKey, Placed
from bomsvc.core.resolve.reasons import fitted_reason
from bomsvc.core.resolve.studies import Study
from bomsvc.core.resolve.view import View

PIECE = "C62"


@dataclass(frozen=True, slots=True)
class Deciding:
    """The options a place waits for: to be asked, or all beyond asking."""

    decided_by: tuple[Key, ...] = ()
    waits_on: tuple[Key, ...] = ()


class _Contribution(NamedTuple):
    study: Study
    key: ItemKey

    @property
    def items(self) -> list[Item]:
        return [i for case in self.study.different for i in case if i.key == self.key]


_LINES_KEPT = 20_000
_LINES: WeakKeyDictionary[Layout, Memory[_Kept]] = WeakKeyDictionary()
_lock = threading.Lock()


class _Kept(NamedTuple):
    """A line and the studies it was made of, so that their identity stays theirs."""

    line: Line
    studies: tuple[Study, ...]


def certain_lines(
    view: View, layout: Layout, placed: Sequence[Placed]
) -> list[tuple[int, Line]]:
    """The certain lines with the number of their first place, in order of it."""
    merged: dict[LineKey, list[_Contribution]] = {}
    first: dict[LineKey, int] = {}
    number = 0
    for one in placed:
        for index, line_key, key in one.certain:
            contribution = _Contribution(one.studies[index], key)
            found = merged.get(line_key)
            if found is None:
                merged[line_key] = [contribution]
                first[line_key] = number + index
            else:
                found.append(contribution)
        number += len(one.studies)
    with _lock:
        lines = _LINES.setdefault(layout, Memory(_LINES_KEPT))
    given = frozenset(entry.key for entry in view.known.entries)
    return [
        (first[line_key], _remembered(view, layout, lines, given, group))
        for line_key, group in merged.items()
    ]


def _remembered(
    view: View,
    layout: Layout,
    lines: Memory[_Kept],
    given: frozenset[Key],
    group: list[_Contribution],
) -> Line:
    """The line of these contributions; made once where all its places are settled.

    What it says depends on the studies and on which options were answered.
    """
    studies = tuple(c.study for c in group)
    if not all(s.settled for s in studies) or _looks_further(layout, studies):
        return _certain_line(view, layout, group)
    key = (group[0].key, tuple(map(id, studies)), given)
    kept = lines.get(key, lambda: _Kept(_certain_line(view, layout, group), studies))
    return kept.line


def _looks_further(layout: Layout, studies: Iterable[Study]) -> bool:
    """Whether a line tells what its study does not: alternates, and what is inside."""
    return any(
        s.place.kind == "position"
        and (s.place.key in layout.alternates or s.place.key in layout.boxes)
        for s in studies
    )


def _certain_line(view: View, layout: Layout, group: Sequence[_Contribution]) -> Line:
    figures = Figures(())
    if group[0].study.place.kind == "joint":
        pairs = [(c.study, c.key) for c in group]
        figures = figures_of_members(layout, pairs)
    return _line(view, layout, group, figures, state="certain", deciding=Deciding())


def open_lines(
    view: View, layout: Layout, study: Study, deciding: Deciding
) -> list[Line]:
    """The open lines of one place; they never merge."""
    certain = study.certain()
    found: list[Line] = []
    for key in study.taken():
        if key not in certain:
            only = [_Contribution(study, key)]
            figures = Figures(())
            if study.place.kind == "joint":
                figures = figures_of(layout, study, key)
            line = _line(view, layout, only, figures, state="open", deciding=deciding)
            found.append(line)
    return found


def _line(
    view: View,
    layout: Layout,
    group: Sequence[_Contribution],
    figures: Figures,
    *,
    state: State,
    deciding: Deciding,
) -> Line:
    need, number, wanted, _ = group[0].key
    part = None if number is None else layout.parts[number]
    qty = sum((c.key[3] for c in group), Decimal(0))
    take = qty if need == "renew" else Decimal(0)
    fitments = _fitments(layout, group)
    return Line(
        part=number,
        name=part.name if part else wanted or "",
        unit=part.unit if part else PIECE,
        qty=qty,
        take=take,
        need=need,
        state=state,
        places=tuple(c.study.place for c in group),
        why=_why(layout, view.known, group, fitments, part),
        order=plain_order(part, take),
        wanted=wanted,
        decided_by=deciding.decided_by,
        waits_on=deciding.waits_on,
        limit=_limit(part, need),
        instructions=_instructions(layout, part, fitments, need),
        screw=figures.tightest(),
        cases=figures.worded(),
        alternates=_alternates(view, layout, group),
        # Cautions are about fitting a new part: what is looked at stays or goes back.
        cautions=part.cautions if part and need == "renew" else (),
        brings=tuple(
            one for c in group for one in brought_by(view, layout, c.study, c.key)
        ),
    )


def _fitments(layout: Layout, group: Sequence[_Contribution]) -> list[StandingFitment]:
    """The fitments behind a line, per place in order of appearance."""
    found: list[StandingFitment] = []
    for contribution in group:
        place = contribution.study.place
        if place.kind == "position":
            position = layout.compiled.standing.positions[place.key]
            used = {index for item in contribution.items for index in item.fitments}
            found += [f for f in position.fitments if f.index in used]
    return found


def _why(
    layout: Layout,
    known: Known,
    group: Sequence[_Contribution],
    fitments: Sequence[StandingFitment],
    part: Part | None,
) -> tuple[Reason, ...]:
    found: dict[Reason, None] = {}
    for fitment in fitments:
        found[fitted_reason(layout.compiled, known, fitment)] = None
    for contribution in group:
        for item in contribution.items:
            found.update(dict.fromkeys(item.reasons))
    reuse = _reuse_reason(part, found)
    return (*found, *reuse)


def _reuse_reason(part: Part | None, reasons: Iterable[Reason]) -> tuple[Reason, ...]:
    """Single use or a limit, where the part is disturbed rather than asked for."""
    disturbed = any(r.opened_by or r.loosened_by or r.freed_by for r in reasons)
    if part is None or not disturbed or part.reuse == "freely":
        return ()
    return (Reason(reuse="single" if part.reuse == "single" else "limited"),)


def _limit(part: Part | None, need: Need) -> Limit | None:
    if part is None or need != "check" or not isinstance(part.reuse, ReuseLimit):
        return None
    reuse = part.reuse
    return Limit(reuse.max_length_mm, reuse.max_uses, reuse.inspect)


def _instructions(
    layout: Layout, part: Part | None, fitments: Sequence[StandingFitment], need: Need
) -> tuple[str, ...]:
    """How it goes in; a new part has no mate or place of its own to go back to."""
    texts = [part.hand] if part else []
    if part and need == "check":
        texts.append(part.keep_matched)
    for fitment in fitments:
        position = layout.compiled.standing.positions[fitment.position].position
        texts += [position.note, fitment.fitment.note]
    return tuple(dict.fromkeys(text for text in texts if text))


def _alternates(
    view: View, layout: Layout, group: Sequence[_Contribution]
) -> tuple[Alternate, ...]:
    found: list[Alternate] = []
    for contribution in group:
        place = contribution.study.place
        if place.kind == "position":
            found += _alternates_at(view, layout, place.key)
    return tuple(found)


def _alternates_at(view: View, layout: Layout, key: Key) -> list[Alternate]:
    position = layout.compiled.standing.positions[key]
    others = [f for f in position.fitments if f.fitment.rank > 1]
    view.look(f.applies for f in others)
    ranked = sorted(others, key=lambda f: f.fitment.rank)
    found = []
    for standing in ranked:
        state = view.state(standing.applies)
        if state != "excluded":
            found.append(_alternate(layout, standing, state))
    return found


def _alternate(layout: Layout, standing: StandingFitment, state: State) -> Alternate:
    fitment = standing.fitment
    return Alternate(
        part=fitment.part,
        name=layout.parts[fitment.part].name,
        qty=fitment.qty,
        rank=fitment.rank,
        position=standing.position,
        state=state,
        note=fitment.note,
    )
