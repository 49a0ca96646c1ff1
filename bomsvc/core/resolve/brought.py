"""What comes inside a listed part, exactly for the builds in which its line stands.

A part on a renew line brings what sits in the positions that it includes, and these
parts what they include in turn. None of it is listed by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from bomsvc.core.logic.standing import Key, Lit, StandingFitment
from bomsvc.core.resolve.items import Item, ItemKey, fitted_quantity
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.lines import Brought
from bomsvc.core.resolve.studies import POSITION_CASES, Study
from bomsvc.core.resolve.view import Truth, View

_Inside = tuple[Key, str, Decimal]


def brought_by(
    view: View, layout: Layout, study: Study, key: ItemKey
) -> tuple[Brought, ...]:
    """What this item of this place brings, in document order of the positions.

    Certain is what it brings in every remaining build in which the place takes it.
    Beyond the budget of cases all of it is open.
    """
    start = _fitments(study, key)
    if key[0] != "renew" or not any(one in layout.contents for one in start):
        return ()
    found, complete = _by_case(view, layout, study, key, start)
    every = set(found[0]).intersection(*found) if found and complete else set()
    some = {one for inside in found for one in inside}
    return tuple(
        Brought(
            position=position,
            part=part,
            name=layout.parts[part].name,
            qty=qty,
            state="certain" if (position, part, qty) in every else "open",
        )
        for position, part, qty in sorted(some, key=lambda one: _order(layout, one))
    )


def _order(layout: Layout, inside: _Inside) -> tuple[int, int, Decimal]:
    """By position, then by the part's first fitment there, as the document says."""
    position, part, qty = inside
    fitments = _first_choices(layout, position)
    first = min(f.index for f in fitments if f.fitment.part == part)
    return layout.index[position], first, qty


def _fitments(study: Study, key: ItemKey) -> list[tuple[Key, int]]:
    """The fitments that put the item there, in any case."""
    if study.place.kind != "position":
        return []
    items = (i for case in study.different for i in case if i.key == key)
    return [(study.place.key, index) for item in items for index in item.fitments]


def _by_case(
    view: View,
    layout: Layout,
    study: Study,
    key: ItemKey,
    start: list[tuple[Key, int]],
) -> tuple[list[dict[_Inside, None]], bool]:
    """What is inside in each case that takes the item; whether no case is missing."""
    lits = view.open_among((*study.lits, *_literals(layout, start)))
    cases = view.cases(lits, limit=POSITION_CASES)
    columns = [lits.index(lit) for lit in study.lits]
    taken = dict(zip(study.vectors, study.items, strict=True))
    complete = cases.complete
    found = []
    for vector in cases.vectors:
        items = taken.get(tuple(vector[column] for column in columns))
        complete = complete and items is not None
        truth = view.truth(cases.lits, vector)
        for item in items or ():
            if item.key == key:
                found.append(_inside(layout, study.place.key, item, truth))
    return found, complete


def _literals(layout: Layout, start: list[tuple[Key, int]]) -> Iterator[Lit]:
    """Every condition that what is inside depends on."""
    seen = {position for position, _ in start}
    waiting = list(start)
    while waiting:
        for key in layout.contents.get(waiting.pop(), ()):
            if key in seen:
                continue
            seen.add(key)
            yield from (use.group.exists for use in layout.hole_uses.get(key, ()))
            for fitment in _first_choices(layout, key):
                yield fitment.applies
                waiting.append((key, fitment.index))


def _inside(
    layout: Layout, owner: Key, item: Item, truth: Truth
) -> dict[_Inside, None]:
    """What is inside the item in one case; each position once."""
    seen = {owner}
    found: dict[tuple[Key, str], Decimal] = {}
    waiting = [(owner, index) for index in item.fitments]
    while waiting:
        for key in layout.contents.get(waiting.pop(), ()):
            if key in seen:
                continue
            seen.add(key)
            for fitment in _first_choices(layout, key):
                if truth(fitment.applies):
                    qty = fitted_quantity(layout, fitment, None, truth)
                    place = (key, fitment.fitment.part)
                    found[place] = found.get(place, Decimal(0)) + qty
                    waiting.append((key, fitment.index))
    return {(*place, qty): None for place, qty in found.items() if qty}


def _first_choices(layout: Layout, key: Key) -> Iterable[StandingFitment]:
    fitments = layout.compiled.standing.positions[key].fitments
    return [fitment for fitment in fitments if fitment.fitment.rank == 1]
