"""Options as columns of values, and conditions as 0/1 tables over columns.

Only values that remaining builds have become values here, so an option that is
settled takes no room.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import prod
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from bomsvc.core.logic.compiled import Compiled, Model
from bomsvc.core.logic.domains import Domain
from bomsvc.core.logic.gates import Clause
from bomsvc.core.logic.serials import SERIAL
from bomsvc.core.logic.standing import TRUE, Lit
from bomsvc.core.logic.tree import StandingOption

Flags = NDArray[np.bool_]
Scalar = TypeVar("Scalar", np.bool_, np.int64)


@dataclass(frozen=True, slots=True)
class Relation:
    """A 0/1 table: `allowed` has one axis per column of `scope`, in rising order."""

    scope: tuple[int, ...]
    allowed: Flags


class TooWide(Exception):  # noqa: N818 - an outcome: the count is not settled
    """A rule's table would be over the budget."""


class Columns:
    """The open options of a domain as columns, with every constraint on them.

    `sizes[i]`: how many values column `i` has; all have two or more.
    """

    def __init__(self, compiled: Compiled, domain: Domain, *, cells: int) -> None:
        self._model: Model = compiled.model
        self._domain = domain
        self._cells = cells
        self._places: dict[int, tuple[int, Flags]] = {}
        self._gates: dict[int, Relation] = {}
        self.sizes: list[int] = []
        self._tree: list[Relation] = []
        options = compiled.options.values()
        for option in options:
            self._add(option)
        self._add_thresholds(compiled)
        for option in options:
            self._tie(option)

    def relations(self, clauses: Iterable[Clause]) -> list[Relation]:
        """Return the tree's relations and those of the rules' clauses.

        Raises:
            TooWide: One of them is over the budget.
        """
        found = [*self._tree, *(self._either(clause) for clause in clauses)]
        return [r for r in found if not r.allowed.all()]

    # Columns.

    def _add(self, option: StandingOption) -> None:
        if option.option.choose == "any":
            for lit in option.choices.values():
                self._column([Lit(-lit), lit])
            return
        values = [lit for lit in option.choices.values() if self._domain.may(lit)]
        absent = self._domain.may(-option.active)
        size = len(values) + absent
        if size < 2:  # noqa: PLR2004 - one value is no choice
            return
        for index, lit in enumerate(values):
            mark = np.zeros(size, dtype=np.bool_)
            mark[index] = True
            self._place(lit, len(self.sizes), mark)
        self.sizes.append(size)

    def _column(self, values: list[Lit]) -> None:
        if all(self._domain.may(lit) for lit in values):
            mark = np.array([False, True])
            self._place(values[-1], len(self.sizes), mark)
            self.sizes.append(len(values))

    def _place(self, lit: Lit, column: int, mark: Flags) -> None:
        self._places[abs(lit)] = (column, mark if lit > 0 else ~mark)

    def _add_thresholds(self, compiled: Compiled) -> None:
        """Place "this interval or above" on the serial's column."""
        inside = list(compiled.options[SERIAL].choices.values())
        column, above = -1, None
        for lit, threshold in zip(
            reversed(inside), reversed(compiled.thresholds), strict=True
        ):
            if abs(lit) in self._places:
                column, mark = self._places[abs(lit)]
                here = mark if lit > 0 else ~mark
                above = here if above is None else above | here
            if threshold != TRUE and above is not None and not above.all():
                self._places[threshold] = (column, above)

    def _tie(self, option: StandingOption) -> None:
        """Relate an option's values to its activity."""
        if option.active == TRUE or not self._domain.may(-option.active):
            return
        active = self._literal(option.active)
        if option.option.choose == "any":
            for lit in option.choices.values():
                if self._domain.may(lit):
                    self._tree.append(self._or([self._literal(-lit), active]))
            return
        some = self._or([self._literal(x) for x in option.choices.values()])
        self._tree.append(self._or([some, self._not(active)]))
        self._tree.append(self._or([self._not(some), active]))

    # Conditions as tables.

    def _literal(self, lit: int) -> Relation:
        variable = abs(lit)
        if variable > self._model.core:
            held = self._gate(variable)
        elif variable in self._places:
            column, mark = self._places[variable]
            held = Relation((column,), mark)
        else:
            held = Relation((), np.array(self._domain.may(variable)))
        return held if lit > 0 else self._not(held)

    def _gate(self, variable: int) -> Relation:
        found = self._gates.get(variable)
        if found is None:
            inputs = self._model.inputs_of(variable)
            found = self._not(self._or([self._literal(-lit) for lit in inputs]))
            self._gates[variable] = found
        return found

    def _either(self, clause: Clause) -> Relation:
        return self._or([self._literal(lit) for lit in clause])

    def _not(self, relation: Relation) -> Relation:
        return Relation(relation.scope, ~relation.allowed)

    def _or(self, relations: list[Relation]) -> Relation:
        scope = tuple(sorted({column for r in relations for column in r.scope}))
        shape = tuple(self.sizes[column] for column in scope)
        if prod(shape) > self._cells:
            raise TooWide
        allowed = np.zeros(shape, dtype=np.bool_)
        for relation in relations:
            allowed |= spread(relation.allowed, relation.scope, scope)
        return Relation(scope, allowed)


def spread(
    table: NDArray[Scalar], scope: tuple[int, ...], wider: tuple[int, ...]
) -> NDArray[Scalar]:
    """Return the table with an axis of length 1 for each column it lacks."""
    has = dict(zip(scope, table.shape, strict=True))
    return table.reshape([has.get(column, 1) for column in wider])
