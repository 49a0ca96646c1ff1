"""Options as columns of values, and constraints as 0/1 tables over columns.

A choose-one option is one column (its choices, and "not there" where it can be so);
each choice of a choose-any option is a column of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import prod
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.domains import Domain
from bomsvc.core.logic.gates import Clause
from bomsvc.core.logic.standing import TRUE, Key
from bomsvc.core.logic.tree import StandingOption

Flags = NDArray[np.bool_]
Scope = tuple[int, ...]
Scalar = TypeVar("Scalar", bound=np.generic)


@dataclass(frozen=True, slots=True)
class Relation:
    """A 0/1 table: `allowed` has one axis per column of `scope`, in rising order."""

    scope: Scope
    allowed: Flags


class TooWide(Exception):  # noqa: N818 - an outcome: the count is not settled
    """A constraint's table would be over the budget."""


class Columns:
    """All options as columns of all their values; immutable once made.

    Attributes:
        values: Per column, the literal of each value.
        of: Option key -> its columns.
    """

    def __init__(self, compiled: Compiled, *, cells: int) -> None:
        self._compiled = compiled
        self._cells = cells
        self._places: dict[int, tuple[int, Flags]] = {}
        self._gates: dict[int, Relation] = {}
        self.values: list[list[int]] = []
        self.of: dict[Key, tuple[int, ...]] = {}
        for key, option in compiled.options.items():
            first = len(self.values)
            self._add(option)
            self.of[key] = tuple(range(first, len(self.values)))
        self._add_thresholds()

    def relations(self, clauses: Iterable[Clause]) -> list[Relation]:
        """Return the tree's relations and those of the rules' clauses.

        Raises:
            TooWide: One of them is over the budget.
        """
        tied = [r for o in self._compiled.options.values() for r in self._ties(o)]
        found = [*tied, *(self._either(clause) for clause in clauses)]
        return [relation for relation in found if not relation.allowed.all()]

    def allowed(self, domain: Domain) -> list[Flags]:
        """Return per column which values remaining builds have."""
        return self.split(self.flat(domain))

    def flat(self, domain: Domain) -> Flags:
        """Return which values remaining builds have, one column after the other."""
        positive, variables = self._flat
        return np.where(
            positive, domain.can_hold[variables], domain.can_fail[variables]
        )

    def split(self, flat: Flags) -> list[Flags]:
        """Return the columns of a flat array of flags."""
        return [flat[start:end] for start, end in self._bounds]

    @cached_property
    def owners(self) -> NDArray[np.intp]:
        """The column of each place of a flat array."""
        return np.repeat(np.arange(len(self.values)), [len(v) for v in self.values])

    @cached_property
    def _flat(self) -> tuple[Flags, NDArray[np.intp]]:
        lits = np.array([x for values in self.values for x in values], dtype=np.intp)
        return lits > 0, np.abs(lits)

    @cached_property
    def _bounds(self) -> list[tuple[int, int]]:
        ends = np.cumsum([len(values) for values in self.values]).tolist()
        return list(zip([0, *ends[:-1]], ends, strict=True))

    # Columns.

    def _add(self, option: StandingOption) -> None:
        lits = list(option.choices.values())
        if option.option.choose == "any":
            for lit in lits:
                self._column([-lit, lit], [lit])
            return
        absent = [] if option.active == TRUE else [-option.active]
        self._column([*lits, *absent], lits)

    def _column(self, values: Sequence[int], placed: Sequence[int]) -> None:
        for index, lit in enumerate(values):
            if lit in placed and lit != TRUE:
                mark = np.zeros(len(values), dtype=np.bool_)
                mark[index] = True
                place = (len(self.values), mark if lit > 0 else ~mark)
                self._places[abs(lit)] = place
        self.values.append(list(values))

    def _add_thresholds(self) -> None:
        """Place "this interval or above" on the serial's column, the last one."""
        column = len(self.values) - 1
        thresholds = self._compiled.thresholds
        for index, threshold in enumerate(thresholds):
            if threshold != TRUE:
                above = np.arange(len(thresholds)) >= index
                self._places[threshold] = (column, above)

    def _ties(self, option: StandingOption) -> list[Relation]:
        """Relate an option's values to its activity."""
        if option.active == TRUE:
            return []
        active = self._literal(option.active)
        lits = option.choices.values()
        if option.option.choose == "any":
            return [self._or([self._literal(-lit), active]) for lit in lits]
        some = self._or([self._literal(lit) for lit in lits])
        return [
            self._or([some, _negated(active)]),
            self._or([_negated(some), active]),
        ]

    # Conditions as tables.

    def _literal(self, lit: int) -> Relation:
        variable = abs(lit)
        if variable > self._compiled.model.core:
            held = self._gate(variable)
        elif variable == TRUE:
            held = Relation((), np.array([True]).reshape(()))
        else:
            column, mark = self._places[variable]
            held = Relation((column,), mark)
        return held if lit > 0 else _negated(held)

    def _gate(self, variable: int) -> Relation:
        found = self._gates.get(variable)
        if found is None:
            inputs = self._compiled.model.inputs_of(variable)
            found = _negated(self._or([self._literal(-lit) for lit in inputs]))
            self._gates[variable] = found
        return found

    def _either(self, clause: Clause) -> Relation:
        return self._or([self._literal(lit) for lit in clause])

    def _or(self, relations: Sequence[Relation]) -> Relation:
        scope = tuple(sorted({column for r in relations for column in r.scope}))
        shape = tuple(len(self.values[column]) for column in scope)
        if prod(shape) > self._cells:
            raise TooWide
        allowed = np.zeros(shape, dtype=np.bool_)
        for relation in relations:
            allowed |= spread(relation.allowed, relation.scope, scope)
        return Relation(scope, allowed)


def _negated(relation: Relation) -> Relation:
    return Relation(relation.scope, ~relation.allowed)


def spread(table: NDArray[Scalar], scope: Scope, wider: Scope) -> NDArray[Scalar]:
    """Return the table with an axis of length 1 for each column it lacks."""
    has: Mapping[int, int] = dict(zip(scope, table.shape, strict=True))
    return table.reshape([has.get(column, 1) for column in wider])
