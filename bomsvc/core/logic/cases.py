"""All distinct truth vectors of some conditions over the remaining builds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from bomsvc.core.logic.domains import Flags
from bomsvc.core.logic.in_force import Assumptions, InForce
from bomsvc.core.logic.standing import Lit

Vector = tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Cases:
    """Truth vectors, sorted with True before False, first literal first.

    `complete` False: there are more; `vectors` are the first ones in order.
    """

    vectors: tuple[Vector, ...]
    complete: bool


def find_cases(
    rules: InForce, assumptions: Assumptions, lits: Sequence[Lit], limit: int
) -> Cases:
    """Return every vector that some remaining build gives, at most `limit`."""
    states = rules.states(assumptions, lits)
    if rules.domain(assumptions) is None:
        return Cases((), complete=True)
    # One literal per variable, as first written, so that order is the caller's.
    first = {abs(lit): lit for lit in reversed(lits)}
    open_lits = [
        lit
        for lit, state in zip(lits, states, strict=True)
        if state == "open" and first[abs(lit)] == lit
    ]
    open_lits = list(dict.fromkeys(open_lits))
    found = _by_blocking(rules, assumptions, open_lits, limit)
    complete = len(found) <= limit
    if not complete:
        found = _first_in_order(rules, assumptions, open_lits, limit)
    fixed = {
        lit: state == "certain"
        for lit, state in zip(lits, states, strict=True)
        if state != "open"
    }
    spread = (_spread(lits, fixed, open_lits, row) for row in found)
    return Cases(tuple(sorted(spread, reverse=True)), complete)


def _spread(
    lits: Sequence[Lit], fixed: dict[Lit, bool], open_lits: list[Lit], row: Vector
) -> Vector:
    value = dict(zip(open_lits, row, strict=True))
    return tuple(
        fixed[lit] if lit in fixed else value.get(lit, not value.get(Lit(-lit)))
        for lit in lits
    )


def _by_blocking(
    rules: InForce, assumptions: Assumptions, lits: list[Lit], limit: int
) -> set[Vector]:
    """Return all vectors, or limit + 1 of them when there are more."""
    engine = rules.engine_for(lits)
    own = engine.locals(lits)
    table = rules.table(tuple(lits))
    found = _pooled(rules, assumptions, lits, limit)
    with engine.guarded() as guard:
        for row in found:
            engine.add([-guard, *_against(own, row)])
        while len(found) <= limit and engine.solve([*assumptions, guard]):
            row = tuple(table.truths(engine.found()).tolist())
            found.add(row)
            engine.add([-guard, *_against(own, row)])
    return found


def _pooled(
    rules: InForce, assumptions: Assumptions, lits: list[Lit], limit: int
) -> set[Vector]:
    """Return the vectors that known builds show, at most `limit` + 1."""
    pool = rules.pool
    core, mask = pool.words(pool.matching([1, *assumptions]))
    truths = rules.table(tuple(lits)).truths_in(core)
    rows: set[Vector] = set()
    for word in range(core.shape[1]):
        for bit in _bits(int(mask[word])):
            picked: Flags = (truths[:, word] >> np.uint64(bit)) & np.uint64(1) != 0
            rows.add(tuple(picked.tolist()))
            if len(rows) > limit:
                return rows
    return rows


def _bits(word: int) -> Iterator[int]:
    while word:
        low = word & -word
        yield low.bit_length() - 1
        word ^= low


def _against(lits: Sequence[int], row: Vector) -> list[int]:
    return [-lit if value else lit for lit, value in zip(lits, row, strict=True)]


def _first_in_order(
    rules: InForce, assumptions: Assumptions, lits: list[Lit], limit: int
) -> set[Vector]:
    """Return the first `limit` vectors in order, so that the cut is always the same."""
    walk = _OrderedWalk(rules, assumptions, lits).rows()
    return {row for row, _ in zip(walk, range(limit), strict=False)}


class _OrderedWalk:
    """Walks the vectors from the first in order, True before False."""

    def __init__(
        self, rules: InForce, assumptions: Assumptions, lits: list[Lit]
    ) -> None:
        self._engine = rules.engine_for(lits)
        self._table = rules.table(tuple(lits))
        self._own = self._engine.locals(lits)
        self._fixed = list(assumptions)

    def rows(self) -> Iterator[Vector]:
        row = self._first(())
        while row is not None:
            yield row
            row = self._next(row)

    def _next(self, row: Vector) -> Vector | None:
        for index in reversed(range(len(row))):
            if row[index]:
                after = self._first((*row[:index], False))
                if after is not None:
                    return after
        return None

    def _first(self, prefix: Vector) -> Vector | None:
        """Return the first vector that begins so, or None."""
        fixed = [*self._fixed, *_signed(self._own, prefix)]
        if not self._engine.solve(fixed):
            return None
        row = self._row()
        for index in range(len(prefix), len(self._own)):
            lit = self._own[index]
            if row[index] or self._engine.solve([*fixed, lit]):
                row = row if row[index] else self._row()
                fixed.append(lit)
            else:
                fixed.append(-lit)
        return row

    def _row(self) -> Vector:
        return tuple(self._table.truths(self._engine.found()).tolist())


def _signed(lits: Sequence[int], row: Vector) -> list[int]:
    return [lit if value else -lit for lit, value in zip(lits, row, strict=False)]
