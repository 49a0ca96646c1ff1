"""What one place takes in one case: the parts of a position, the screw of a group.

The functions here look at a single case: every condition is true or false.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.logic.standing import (
    Key,
    StandingFitment,
    StandingGroup,
    StandingPosition,
    StandingStep,
)
from bomsvc.core.resolve.demand import Call, Demand, GroupName, need_of
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.lines import Need, Reason
from bomsvc.core.resolve.stack import Unsized
from bomsvc.core.resolve.view import Truth

UNSTATED = "a screw that the catalogue does not state"
"""Wanted where a group goes by stated screws and none of them applies."""

ItemKey = tuple[Need, str | None, str | None, Decimal]


@dataclass(frozen=True, slots=True)
class Item:
    """A part needed at a place in one case.

    Attributes:
        need: Renew or check.
        part: The number; None where only `wanted`, a designation, is known.
        qty: In the part's unit.
        fitments: The fitments of a position that put it there, or the uses of a
            step (indices).
        reasons: Why it is needed, beside the fitments' conditions.
        figures: The sized screw.
    """

    need: Need
    part: str | None
    qty: Decimal
    wanted: str | None = None
    fitments: tuple[int, ...] = ()
    reasons: tuple[Reason, ...] = ()
    figures: SizedGroup | None = None

    @property
    def key(self) -> ItemKey:
        """By what a contribution is the same in two cases."""
        return (self.need, self.part, self.wanted, self.qty)


_ALL: tuple[GroupName, ...] | None = None
_NO_LENGTH = (1, Fraction(0))


def in_document_order(rows: Iterable[tuple[Item, ...]]) -> list[tuple[Item, ...]]:
    """Different sets of items as people look for them, nothing at all last.

    Parts stand in the order of their fitments or uses in the document, so sizes as
    the editor wrote them: standard, 0.25, 0.50; screws from short to long.
    """
    return sorted(rows, key=lambda items: (not items, [*map(_order, items)]))


def _order(item: Item) -> tuple[object, ...]:
    chosen = item.figures.chosen if item.figures is not None else None
    length = _NO_LENGTH if chosen is None else (0, chosen.length_mm)
    return (item.fitments, length, item.need != "renew", item.qty)


@dataclass(slots=True)
class _Wish:
    """The need for one fitment's part, from all calls that ask for it."""

    reasons: dict[Reason, None] = field(default_factory=dict)
    groups: dict[GroupName, None] | None = field(default_factory=dict)

    def add(self, call: Call) -> None:
        self.reasons.update(dict.fromkeys(call.reasons))
        if call.groups is None:
            self.groups = None
        elif self.groups is not None:
            self.groups.update(dict.fromkeys(call.groups))


def position_items(
    layout: Layout,
    position: StandingPosition,
    calls: tuple[Call, ...],
    truth: Truth,
) -> tuple[Item, ...]:
    """The parts the position takes, each part and need once, document order."""
    merged: dict[tuple[Need, str], Item] = {}
    for fitment in position.fitments:
        if fitment.fitment.rank == 1 and truth(fitment.applies):
            item = _fitment_item(layout, fitment, calls, truth)
            if item is not None:
                _merge(merged, item)
    return tuple(merged.values())


def _merge(merged: dict[tuple[Need, str], Item], item: Item) -> None:
    assert item.part is not None
    key = (item.need, item.part)
    found = merged.get(key)
    if found is None:
        merged[key] = item
        return
    merged[key] = Item(
        need=item.need,
        part=item.part,
        qty=found.qty + item.qty,
        fitments=found.fitments + item.fitments,
        reasons=tuple(dict.fromkeys(found.reasons + item.reasons)),
    )


def _fitment_item(
    layout: Layout,
    fitment: StandingFitment,
    calls: tuple[Call, ...],
    truth: Truth,
) -> Item | None:
    part = layout.parts[fitment.fitment.part]
    wishes: dict[Need, _Wish] = {}
    for call in calls:
        need = need_of(call.mode, part)
        if need is not None:
            wishes.setdefault(need, _Wish()).add(call)
    if not wishes:
        return None
    # What is renewed needs no check as well.
    need = "renew" if "renew" in wishes else "check"
    wish = wishes[need]
    qty = fitted_quantity(layout, fitment, wish.groups, truth)
    if qty == 0:
        return None
    return Item(
        need=need,
        part=part.number,
        qty=qty,
        fitments=(fitment.index,),
        reasons=tuple(wish.reasons),
    )


def fitted_quantity(
    layout: Layout,
    fitment: StandingFitment,
    groups: Mapping[GroupName, None] | None,
    truth: Truth,
) -> Decimal:
    """The fitment's quantity, or as many as the holes of the groups that use it."""
    uses = layout.hole_uses.get(fitment.position)
    if uses is None:
        return fitment.fitment.qty
    return Decimal(
        sum(
            use.per_hole * len(use.group.group.holes)
            for use in uses
            if (groups is None or use.name in groups) and truth(use.group.exists)
        )
    )


def group_item(
    layout: Layout,
    group: StandingGroup,
    calls: tuple[Call, ...],
    sized: SizedGroup | Unsized,
    stated: tuple[str, ...],
) -> Item | None:
    """The screw of a group that exists, or None for studs."""
    if not calls or group.stud is not None:
        return None
    figures = sized if isinstance(sized, SizedGroup) else None
    number, wanted = _screw_named(group, figures, stated)
    need, reasons = _screw_need(layout, number, calls)
    if need is None:
        return None
    return Item(
        need=need,
        part=number,
        qty=Decimal(len(group.group.holes)),
        wanted=wanted,
        reasons=reasons,
        figures=figures,
    )


def _screw_named(
    group: StandingGroup, figures: SizedGroup | None, stated: tuple[str, ...]
) -> tuple[str | None, str | None]:
    """The screw's number, or else the designation wanted."""
    if figures is not None and figures.chosen is not None:
        chosen = figures.chosen
        return chosen.part, None if chosen.part else chosen.designation
    if stated:
        return stated[0], None
    screw = group.group.screw
    if screw is None:
        return None, UNSTATED
    return None, f"{screw.standard[0]} - {screw.thread} - {screw.property_class}"


def _screw_need(
    layout: Layout, number: str | None, calls: tuple[Call, ...]
) -> tuple[Need | None, tuple[Reason, ...]]:
    by_need: dict[Need, list[Reason]] = {}
    for call in calls:
        # A screw that has no number yet has to be got: it cannot be looked at.
        need = "renew" if number is None else need_of(call.mode, layout.parts[number])
        if need is not None:
            by_need.setdefault(need, []).extend(call.reasons)
    for need in ("renew", "check"):
        if need in by_need:
            return need, tuple(dict.fromkeys(by_need[need]))
    return None, ()


def step_items(
    step: StandingStep, calls: tuple[Call, ...], truth: Truth
) -> tuple[Item, ...]:
    """What the step uses up, when it is done."""
    if not calls:
        return ()
    reasons = tuple(dict.fromkeys(r for call in calls for r in call.reasons))
    totals: dict[str, Decimal] = {}
    uses: dict[str, tuple[int, ...]] = {}
    for index, standing in enumerate(step.uses):
        if truth(standing.applies):
            use = standing.use
            totals[use.part] = totals.get(use.part, Decimal(0)) + use.qty
            uses[use.part] = (*uses.get(use.part, ()), index)
    return tuple(
        Item(need="renew", part=part, qty=qty, fitments=uses[part], reasons=reasons)
        for part, qty in totals.items()
    )


def brought_along(
    layout: Layout,
    position: Key,
    demands: Mapping[Key, Demand],
    truth: Truth,
    within: frozenset[Key] = frozenset(),
) -> bool:
    """Whether a part renewed elsewhere includes what sits in this position.

    An included part brings its own inclusions too. Of two parts that include one
    another the first in the document is listed and brings the other.
    """
    inside = within | {position}
    for includer in layout.includers.get(position, ()):
        owner = includer.position
        if owner in inside or not truth(includer.fitment.applies):
            continue
        if layout.index[owner] > layout.index[position] and _reaches(
            layout, position, owner
        ):
            continue
        if _renewed(layout, includer.fitment, demands, truth) or brought_along(
            layout, owner, demands, truth, inside
        ):
            return True
    return False


def _renewed(
    layout: Layout,
    fitment: StandingFitment,
    demands: Mapping[Key, Demand],
    truth: Truth,
) -> bool:
    demand = demands.get(fitment.position)
    if demand is None:
        return False
    part = layout.parts[fitment.fitment.part]
    return any(need_of(call.mode, part) == "renew" for call in demand.at(truth))


def _reaches(layout: Layout, start: Key, goal: Key) -> bool:
    """Whether `start` includes `goal`, in one or more steps, by any fitment."""
    seen: set[Key] = set()
    waiting = [goal]
    while waiting:
        for includer in layout.includers.get(waiting.pop(), ()):
            if includer.position == start:
                return True
            if includer.position not in seen:
                seen.add(includer.position)
                waiting.append(includer.position)
    return False


def includer_closure(layout: Layout, position: Key) -> tuple[Key, ...]:
    """Every position whose part may bring this one, directly or through others."""
    found: dict[Key, None] = {}
    waiting = [position]
    while waiting:
        for includer in layout.includers.get(waiting.pop(), ()):
            if includer.position not in found and includer.position != position:
                found[includer.position] = None
                waiting.append(includer.position)
    return tuple(found)
