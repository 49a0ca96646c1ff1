"""Tables of counts over columns: cut to what is allowed, and summed column-wise.

Every table made is kept under what it was made from, so the same work is done once.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from itertools import count
from math import prod
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bomsvc.core.logic.columns import Relation, Scope, spread
from bomsvc.core.logic.memo import Memo

Whole = NDArray[Any]
"""Exact whole numbers: 64 bits where they surely fit, else Python's own."""

Flags = NDArray[np.bool_]
_PLAIN = 1 << 62
"""Numbers below this are carried in 64 bits."""
_TABLES_KEPT = 8192


@dataclass(frozen=True, slots=True)
class Table:
    """Counts over the columns of `scope`; none exceeds `most`.

    `name` tells tables apart: the same name is the same table.
    """

    name: int
    scope: Scope
    counts: Whole
    most: int


class Summing:
    """Makes tables, each once; not safe between threads."""

    def __init__(self) -> None:
        self._names = count()
        self._kept: Memo[Table] = Memo(_TABLES_KEPT)

    def cut(self, index: int, relation: Relation, allowed: Sequence[Flags]) -> Table:
        """Return relation `index`, cut to the values that its columns may have.

        Columns with one value left go, and where all is allowed, every column.
        """
        flags = [allowed[column] for column in relation.scope]
        key: Hashable = (-1, index, *(flag.tobytes() for flag in flags))
        return self._kept.get(key, lambda: self._cut(relation, flags))

    def summed(self, column: int, size: int, tables: Sequence[Table]) -> Table:
        """Return the product of `tables`, with `column` of `size` values summed out."""
        key: Hashable = (column, *(table.name for table in tables))
        return self._kept.get(key, lambda: self._sum_out(column, size, tables))

    def _cut(self, relation: Relation, flags: Sequence[Flags]) -> Table:
        part = relation.allowed[np.ix_(*flags)]
        sizes = dict(zip(relation.scope, part.shape, strict=True))
        scope = tuple(column for column in relation.scope if sizes[column] > 1)
        if part.all():
            scope, part = (), np.array(1)
        counts = part.reshape([sizes[column] for column in scope]).astype(np.int64)
        return Table(next(self._names), scope, counts, 1)

    def _sum_out(self, column: int, size: int, tables: Sequence[Table]) -> Table:
        scope = tuple(sorted({c for table in tables for c in table.scope}))
        most = size * prod(table.most for table in tables)
        kind = np.int64 if most < _PLAIN else object
        product: Whole = np.ones([1] * len(scope), dtype=kind)
        for table in tables:
            counts = table.counts.astype(kind, copy=False)
            product = product * spread(counts, table.scope, scope)
        summed = np.asarray(product.sum(axis=scope.index(column)), dtype=kind)
        rest = tuple(c for c in scope if c != column)
        return Table(next(self._names), rest, summed, most)
