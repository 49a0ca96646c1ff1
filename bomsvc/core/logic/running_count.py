"""A count that follows the clicks: only what a click changes is summed again.

Every column has a bucket of tables, made by relations and by earlier buckets; the
bucket sums its column out of their product. Between two counts the buckets stay as
they are, and only those reached from a changed column are made anew, so a click that
touches one corner of a family costs that corner. The verdict on the budget is that
of the whole work done from nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import prod

import numpy as np
from numpy.typing import NDArray

from bomsvc.core.logic.columns import Columns, Relation
from bomsvc.core.logic.domains import Domain
from bomsvc.core.logic.summing import Summing, Table

_NOWHERE = -1


@dataclass(slots=True)
class _Buckets:
    """Where every table lies; a source is a relation, or a bucket after those.

    Attributes:
        inputs: Per bucket: source -> its table.
        at: Per source: the bucket its table lies in.
        plain: Source -> the plain number it came to, without any column left.
        cells: Per bucket: how wide its product is.
        stale: Per bucket: whether it must be summed again.
    """

    inputs: list[dict[int, Table]]
    at: list[int]
    plain: dict[int, int]
    cells: list[int]
    stale: list[bool]

    def lift(self, source: int) -> None:
        """Take a source's table, or its number, away."""
        self.plain.pop(source, None)
        bucket = self.at[source]
        if bucket != _NOWHERE:
            del self.inputs[bucket][source]
            self.stale[bucket] = True
            self.at[source] = _NOWHERE

    def put(self, source: int, bucket: int, table: Table) -> None:
        """Lay a source's table into a bucket."""
        if self.at[source] == bucket and self.inputs[bucket][source] is table:
            return
        self.lift(source)
        self.inputs[bucket][source] = table
        self.stale[bucket] = True
        self.at[source] = bucket


class RunningCount:
    """Counts the builds of one exact domain after another; not safe between threads.

    Args:
        columns: The options as columns.
        relations: What ties them.
        order: Every column, the first to be summed out first.
        summing: Makes the tables.
    """

    def __init__(
        self,
        columns: Columns,
        relations: Sequence[Relation],
        order: Sequence[int],
        summing: Summing,
    ) -> None:
        self._columns = columns
        self._relations = relations
        self._order = tuple(order)
        self._summing = summing
        self._bucket_of = {column: index for index, column in enumerate(order)}
        self._touching: list[list[int]] = [[] for _ in columns.values]
        for index, relation in enumerate(relations):
            for column in relation.scope:
                self._touching[column].append(index)
        self._last: NDArray[np.bool_] | None = None
        self._sizes: list[int] = []
        self._buckets = self._empty()

    def count(self, domain: Domain, *, cells: int) -> int | None:
        """Return the number of builds in an exact domain, or None over the budget."""
        flat = self._columns.flat(domain)
        changed = self._changed(flat)
        # A refusal half-way leaves nothing to go on from.
        self._last = None
        if not self._follow(self._columns.split(flat), changed, cells):
            return None
        self._last = flat
        buckets = self._buckets
        return prod(buckets.plain.values()) if sum(buckets.cells) <= cells else None

    def _empty(self) -> _Buckets:
        columns = len(self._order)
        return _Buckets(
            [{} for _ in range(columns)],
            [_NOWHERE] * (len(self._relations) + columns),
            {},
            [0] * columns,
            [True] * columns,
        )

    def _changed(self, flat: NDArray[np.bool_]) -> list[int]:
        """Return the columns that allow other values than at the last count."""
        if self._last is None:
            self._buckets = self._empty()
            self._sizes = [0] * len(self._order)
            return list(range(len(self._order)))
        owners = self._columns.owners[flat != self._last]
        return list(dict.fromkeys(owners.tolist()))

    def _follow(
        self,
        allowed: Sequence[NDArray[np.bool_]],
        changed: Sequence[int],
        cells: int,
    ) -> bool:
        """Bring the buckets up to date; False when one alone is over the budget."""
        for column in changed:
            self._sizes[column] = int(np.count_nonzero(allowed[column]))
            self._buckets.stale[self._bucket_of[column]] = True
        for index in sorted({r for column in changed for r in self._touching[column]}):
            self._place(
                index, self._summing.cut(index, self._relations[index], allowed)
            )
        stale = self._buckets.stale
        return all(
            self._sum(bucket, cells)
            for bucket in range(len(self._order))
            if stale[bucket]
        )

    def _place(self, source: int, table: Table) -> None:
        """Put a table where one of its columns is needed first."""
        if table.scope:
            bucket = min(self._bucket_of[column] for column in table.scope)
            self._buckets.put(source, bucket, table)
        else:
            self._buckets.lift(source)
            self._buckets.plain[source] = int(table.counts)

    def _sum(self, bucket: int, cells: int) -> bool:
        """Sum one bucket's column out; False over the budget."""
        buckets, sizes = self._buckets, self._sizes
        column = self._order[bucket]
        inputs = buckets.inputs[bucket]
        tables = [inputs[source] for source in sorted(inputs)]
        scope = {column}.union(*(table.scope for table in tables))
        buckets.cells[bucket] = prod(sizes[c] for c in scope)
        buckets.stale[bucket] = False
        if buckets.cells[bucket] > cells:
            return False
        source = len(self._relations) + bucket
        if tables:
            self._place(source, self._summing.summed(column, sizes[column], tables))
        else:
            buckets.lift(source)
            buckets.plain[source] = sizes[column]
        return True
