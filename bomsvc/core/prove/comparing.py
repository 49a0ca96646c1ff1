"""One thing of two revisions compared over the builds of a view, case by case."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from bomsvc.core.logic.gates import Gates
from bomsvc.core.logic.standing import FALSE, Key, Lit
from bomsvc.core.prove.contents import (
    Contents,
    Kind,
    Wanted,
    WholePlace,
    contents_of,
    disturbs_of,
    orders_of,
    planned_of,
)
from bomsvc.core.prove.made_of import MadeOf
from bomsvc.core.prove.outcomes import NOTHING_TAKEN, Aspect, AtPlace, WorkDone
from bomsvc.core.prove.retimed import retimed
from bomsvc.core.prove.tables import Split, constant, split, where
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.plans import Planned
from bomsvc.core.resolve.view import Truth, View

Place = tuple[str, Key, str]
"""What is compared: a place; ("order", set number, ""); ("exists", key, "");
("work", key, "")."""
Layouts = tuple[Layout, Layout]


class Paired(Protocol):
    """What comes out before and after, build by build."""

    def at(self, truth: Truth, /) -> tuple[object, object]:
        """Return both in one build."""


Splits = Mapping[Place, Paired]


@dataclass(frozen=True, slots=True)
class Compared:
    """Both contents side by side, over the builds of one view.

    Attributes:
        lists: The builds in which the lists differ.
        deep: The same, or something else that a job's lines depend on.
        work: The builds in which the work differs.
    """

    listed: Splits
    worked: Splits
    lists: Lit
    deep: Lit
    work: Lit

    def aspects(self) -> Iterator[tuple[Aspect, Lit]]:
        """Yield both aspects with the cases in which they differ."""
        yield "list", self.lists
        yield "work", self.work

    def about(self, aspect: Aspect) -> Splits:
        """Return what comes out, for one aspect."""
        return self.worked if aspect == "work" else self.listed


ALIKE = Compared({}, {}, FALSE, FALSE, FALSE)


class Comparing:
    """Compares two revisions that stand in one model.

    `made_of` says what cannot differ in a valid build, so that it is not read.
    """

    def __init__(self, gates: Gates, layouts: Layouts, made_of: MadeOf) -> None:
        self._gates = gates
        self._layouts = layouts
        self._made_of = made_of
        self._sets = tuple(_sets_held_otherwise(layouts))

    def compare(
        self, view: View, kind: Kind, key: Key, *, valid: bool = True
    ) -> Compared:
        """Compare a position, joint or job.

        Args:
            view: The builds.
            kind: What it is.
            key: Its key; in one of the revisions it may be missing.
            valid: False where builds may break a rule: then everything is read.

        Raises:
            TooMany: There are more cases than are looked at one by one.
        """
        layouts = self._layouts
        planned = self._planned(view, kind, key)
        wanted: Wanted | None = self._all
        if valid and kind == "job" and not self._sets:
            wanted = self._wanted(view, key, planned)
        one, other = (
            contents_of(view, layout, (kind, key), plans, wanted)
            for layout, plans in zip(layouts, planned, strict=True)
        )
        return self._side_by_side(view, key, (one, other))

    def _planned(self, view: View, kind: Kind, key: Key) -> list[Planned | None]:
        """Return a job's plans in both revisions, made once where they are the same."""
        before, after = self._layouts
        first = planned_of(view, before, kind, key)
        there = all(key in each.compiled.standing.jobs for each in self._layouts)
        if kind == "job" and there:
            if self._made_of.work(key) == FALSE:
                return [first, first]
            if first is not None and self._made_of.disturbs(key) == FALSE:
                other = retimed(first, self._layouts)
                if other is not None:
                    return [first, other]
        return [first, planned_of(view, after, kind, key)]

    @staticmethod
    def _all(place: WholePlace) -> bool:
        del place
        return True

    def _wanted(
        self, view: View, key: Key, planned: list[Planned | None]
    ) -> Wanted | None:
        """Return which places may differ, where the same ones are disturbed."""
        if self._made_of.disturbs(key) != FALSE:
            one, other = map(disturbs_of, planned)
            if where(self._gates, split(view, one, other), _differ) != FALSE:
                return self._all
        if self._made_of.taken(key) == FALSE:
            return None
        wanted = self._made_of.may_differ(key)
        return lambda place: (place[0], place[1]) in wanted

    def _side_by_side(
        self, view: View, key: Key, both: tuple[Contents, Contents]
    ) -> Compared:
        gates, (one, other) = self._gates, both
        places: dict[Place, Split[AtPlace]] = {}
        nothing = constant(NOTHING_TAKEN)
        for place in dict.fromkeys((*one.places, *other.places)):
            pair = one.places.get(place, nothing), other.places.get(place, nothing)
            places[place] = split(view, *pair)
        lists = [where(gates, found, _differ) for found in places.values()]
        deep = [where(gates, found, _differ_deep) for found in places.values()]
        orders = dict(self._orders(view, both))
        lists += [where(gates, found, _differ) for found in orders.values()]
        exists = split(view, one.exists, other.exists)
        lists += [where(gates, exists, _differ)] if one.listed or other.listed else []
        work = split(view, one.work, other.work)
        some = gates.any_of(lists)
        return Compared(
            {**places, **orders, ("exists", key, ""): exists},
            {("work", key, ""): work},
            some,
            gates.any_of((some, *deep)),
            where(gates, work, _differ_work),
        )

    def _orders(
        self, view: View, both: tuple[Contents, Contents]
    ) -> Iterator[tuple[Place, Split[Decimal]]]:
        ordered = [contents.ordered() for contents in both]
        for number in self._sets:
            if number in ordered[0] and number in ordered[1]:
                tables = (
                    orders_of(view, layout, contents, number)
                    for layout, contents in zip(self._layouts, both, strict=True)
                )
                yield ("order", number, ""), split(view, *tables)


def _sets_held_otherwise(layouts: Layouts) -> Iterator[str]:
    """Yield the sets that hold otherwise than before what is taken of them."""
    held: tuple[dict[str, dict[str, object]], ...] = ({}, {})
    for layout, sets in zip(layouts, held, strict=True):
        for part in layout.parts.values():
            if part.sold_as is not None:
                sets.setdefault(part.sold_as.number, {})[part.number] = part.sold_as
    for number, contents in held[0].items():
        if number in held[1] and held[1][number] != contents:
            yield number


def _differ(one: object, other: object) -> bool:
    return one != other


def _differ_deep(one: AtPlace, other: AtPlace) -> bool:
    return one.deep != other.deep


def _differ_work(one: WorkDone | None, other: WorkDone | None) -> bool:
    """Tell whether a job that is there before and after is done otherwise."""
    return one is not None and other is not None and one != other
