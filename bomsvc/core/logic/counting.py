"""How many builds remain, exactly: columns summed out one by one.

The order of columns is fixed per rule set, and what was summed is kept, so after a
click only the tables on the way from it are made again. A budget of table cells
decides what is settled, whatever is kept. (R. Dechter, "Bucket elimination: a
unifying framework for reasoning", Artificial Intelligence 113, 1999.)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import prod

import numpy as np
from numpy.typing import NDArray

from bomsvc.core.logic.columns import Columns, Relation, Scope, TooWide, spread
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.domains import Domain
from bomsvc.core.logic.gates import Clause
from bomsvc.core.logic.running_count import RunningCount
from bomsvc.core.logic.standing import Key
from bomsvc.core.logic.summing import Summing, Table

_RULE_CELLS = 1 << 18
"""The widest table of one clause."""


@dataclass(slots=True)
class _Work:
    """Where summing out stands: tables over kept columns, and a plain factor."""

    allowed: list[NDArray[np.bool_]]
    sizes: list[int]
    tables: list[Table]
    factor: int


@dataclass(frozen=True, slots=True)
class Joint:
    """Which combinations of some columns' values remaining builds have.

    Attributes:
        scope: The columns, rising.
        together: One axis per column: whether the combination is possible.
        values: Per column of `scope` the literals of its values.
        columns: Option key -> its columns.
    """

    scope: Scope
    together: NDArray[np.bool_]
    values: tuple[tuple[int, ...], ...]
    columns: Mapping[Key, tuple[int, ...]]


class Counter:
    """Counts builds under one set of rules; not safe between threads."""

    def __init__(self, compiled: Compiled, clauses: Sequence[Clause]) -> None:
        self._columns = Columns(compiled, cells=_RULE_CELLS)
        self._summing = Summing()
        self._relations: list[Relation] | None
        try:
            self._relations = self._columns.relations(clauses)
        except TooWide:
            self._relations = None
            return
        sizes = [len(values) for values in self._columns.values]
        self._order = _elimination(sizes, [r.scope for r in self._relations])
        self._when = {column: index for index, column in enumerate(self._order)}
        self._running = RunningCount(
            self._columns, self._relations, self._order, self._summing
        )

    def count(self, domain: Domain, *, cells: int) -> int | None:
        """Return the number of builds in an exact domain, or None over the budget.

        Args:
            domain: What each variable can be in the remaining builds.
            cells: Table cells that the whole count may fill.
        """
        if self._relations is None:
            return None
        return self._running.count(domain, cells=cells)

    def joint(self, domain: Domain, keys: Sequence[Key], *, cells: int) -> Joint | None:
        """Return all combinations of these options' values, or None over the budget.

        Args:
            domain: What each variable can be in the remaining builds.
            keys: The options.
            cells: Table cells that the work and its result may fill.
        """
        if self._relations is None:
            return None
        kept = frozenset(c for key in keys for c in self._columns.of[key])
        work = self._work(self._relations, domain, kept, cells)
        scope = tuple(c for c in sorted(kept) if len(self._columns.values[c]) > 1)
        if work is None or prod(work.sizes[c] for c in scope) > cells:
            return None
        together = np.ones([work.sizes[c] for c in scope], dtype=np.bool_)
        for table in work.tables:
            together &= spread(table.counts != 0, table.scope, scope)
        values = [
            [
                x
                for x, use in zip(self._columns.values[c], work.allowed[c], strict=True)
                if use
            ]
            for c in scope
        ]
        return Joint(scope, together, tuple(map(tuple, values)), self._columns.of)

    def _work(
        self,
        relations: Sequence[Relation],
        domain: Domain,
        kept: frozenset[int],
        cells: int,
    ) -> _Work | None:
        """Sum out every column but the kept ones; None over the budget."""
        allowed = self._columns.allowed(domain)
        sizes = [int(np.count_nonzero(flags)) for flags in allowed]
        work = _Work(allowed, sizes, [], 1)
        waiting: list[list[Table]] = [[] for _ in self._order]
        for index, relation in enumerate(relations):
            table = self._summing.cut(index, relation, allowed)
            self._place(table, waiting, kept, work)
        for index, column in enumerate(self._order):
            if column in kept:
                continue
            tables = waiting[index]
            scope = {column}.union(*(table.scope for table in tables))
            cells -= prod(sizes[c] for c in scope)
            if cells < 0:
                return None
            if tables:
                summed = self._summing.summed(column, sizes[column], tables)
                self._place(summed, waiting, kept, work)
            else:
                work.factor *= sizes[column]
        return work

    def _place(
        self,
        table: Table,
        waiting: list[list[Table]],
        kept: frozenset[int],
        work: _Work,
    ) -> None:
        """Put a table where it is needed first; or among the results."""
        later = [self._when[column] for column in table.scope if column not in kept]
        if later:
            waiting[min(later)].append(table)
        elif table.scope:
            work.tables.append(table)
        else:
            work.factor *= int(table.counts)


def _elimination(sizes: Sequence[int], scopes: Sequence[Scope]) -> tuple[int, ...]:
    """Return a greedy order: the column whose table is smallest goes first."""
    near: list[set[int]] = [set() for _ in sizes]
    for scope in scopes:
        for column in scope:
            near[column].update(scope)
    for column, around in enumerate(near):
        around.discard(column)
    cost = {c: sizes[c] * prod(sizes[n] for n in near[c]) for c in range(len(sizes))}
    order = []
    while cost:
        column = min(cost, key=lambda c: (cost[c], c))
        order.append(column)
        del cost[column]
        around = near[column]
        for other in around:
            near[other] |= around
            near[other] -= {other, column}
            cost[other] = sizes[other] * prod(sizes[n] for n in near[other])
    return tuple(order)
