"""What is still tied together once some variables are settled.

Settled variables split the rest into parts that do not speak to each other. A known
build then proves a value possible as soon as it agrees, around the value's part,
with what is settled: put its part into any remaining build and the rules still hold.
So a click re-proves only what it touches.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from bomsvc.core.logic.compiled import Model, StandingRule
from bomsvc.core.logic.gates import Clause
from bomsvc.core.logic.pool import Pool, places_in
from bomsvc.core.logic.standing import TRUE

Flags = NDArray[np.bool_]
Signs = NDArray[np.int8]
Indexes = NDArray[np.intp]


class Residual:
    """The constraints as literal lists, to be cut by what is settled; immutable.

    A rule whose clauses need gates counts as one constraint over all its core
    variables, never taken for met: coarser, and still sound.
    """

    def __init__(self, model: Model, rules: Sequence[StandingRule]) -> None:
        self._size = model.core + 1
        # TRUE is a constraint of its own, so that there always is one.
        rows = [(int(TRUE),), *_constraints(model, rules)]
        lengths = [len(row) for row in rows]
        self._constraint: Indexes = np.repeat(np.arange(len(rows)), lengths)
        flat = np.array([lit for row in rows for lit in row], dtype=np.intp)
        self._variable: Indexes = np.abs(flat) % self._size
        self._sign: Signs = np.sign(flat).astype(np.int8)
        self._sign[np.abs(flat) >= self._size] = 0
        self._starts: Indexes = np.cumsum([0, *lengths[:-1]])

    def seen(self, pool: Pool, settled: Signs) -> tuple[Flags, Flags]:
        """Return which values the pool's builds show possible.

        Args:
            pool: Builds valid under these rules.
            settled: 1 or -1 for variables that every remaining build has so, else
                0. There must be a remaining build.
        """
        part, masks = self._cut(pool, settled)
        can_hold, can_fail = pool.seen_by(masks[part])
        can_hold[settled != 0] = settled[settled != 0] > 0
        can_fail[settled != 0] = settled[settled != 0] < 0
        return can_hold, can_fail

    def spliced(self, pool: Pool, settled: Signs, count: int) -> Flags:
        """Return `count` remaining builds, one per column, spliced from known ones.

        Each part comes from some build that agrees around it; no columns where the
        pool, which forgets its oldest builds, has none for some part. `settled` must
        hold the exact domain's settled variables.
        """
        part, masks = self._cut(pool, settled)
        known = pool.unpacked()
        values = np.repeat((settled > 0)[:, None], count, axis=1)
        free = np.flatnonzero(settled == 0)
        order = free[np.argsort(part[free], kind="stable")]
        starts = np.flatnonzero(np.diff(part[order], prepend=-1))
        for turn, variables in enumerate(np.split(order, starts[1:])):
            if len(variables):
                fits = places_in(masks[part[variables[0]]])
                if not len(fits):
                    return values[:, :0]
                chosen = fits[_draws(turn, count) % len(fits)]
                values[variables] = known[np.ix_(variables, chosen)]
        return values

    def _cut(self, pool: Pool, settled: Signs) -> tuple[Indexes, NDArray[np.uint64]]:
        """Return every node's part, and per part the builds that agree around it."""
        value = settled[self._variable]
        met = np.maximum.reduceat(value * self._sign, self._starts) > 0
        loose = ~met[self._constraint]
        part = self._parts(loose & (value == 0))
        border = loose & (value != 0)
        return part, self._agreeing(pool, part, border, value)

    def _parts(self, ties: Flags) -> Indexes:
        """Return the part of every variable, then of every constraint."""
        variables = self._variable[ties]
        constraints = self._constraint[ties] + self._size
        nodes = self._size + len(self._starts)
        ones = np.ones(len(variables), dtype=np.int8)
        graph = csr_array((ones, (variables, constraints)), shape=(nodes, nodes))
        labels: Indexes = connected_components(graph, directed=False)[1]
        return labels.astype(np.intp)

    def _agreeing(
        self, pool: Pool, part: Indexes, border: Flags, value: Signs
    ) -> NDArray[np.uint64]:
        """Return per part which builds agree with what is settled around it."""
        owner = part[self._constraint[border] + self._size]
        lits = self._variable[border] * value[border]
        order = np.argsort(owner, kind="stable")
        return pool.agreeing(owner[order], lits[order], int(part.max()) + 1)


def _draws(turn: int, count: int) -> Indexes:
    """Return numbers fixed by `turn`: multiplicative hashing (Knuth, TAOCP 3, 6.4)."""
    places = np.arange(1, count + 1, dtype=np.uint64) + np.uint64(turn * 7919)
    hashed = (places * np.uint64(0x9E3779B97F4A7C15)) >> np.uint64(33)
    return hashed.astype(np.intp)


def _constraints(
    model: Model, rules: Sequence[StandingRule]
) -> Iterator[Sequence[int]]:
    for unit in model.structure:
        yield from unit.clauses
    for rule in rules:
        if any(abs(lit) > model.core for clause in rule.clauses for lit in clause):
            # Shifted by the core's size: a literal without a sign of its own.
            yield [v + model.core + 1 for v in _core_of(model, rule.clauses)]
        else:
            yield from rule.clauses


def _core_of(model: Model, clauses: Iterable[Clause]) -> list[int]:
    found: set[int] = set()
    waiting = [abs(lit) for clause in clauses for lit in clause]
    while waiting:
        variable = waiting.pop()
        if variable <= model.core:
            found.add(variable)
        else:
            waiting.extend(abs(lit) for lit in model.inputs_of(variable))
    return sorted(found)
