"""Two copies of the model in one solver, made equal option by option."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from pysat.solvers import Solver

from bomsvc.core.logic.budget import Budget, Unsettled
from bomsvc.core.logic.compiled import Compiled, Model, StandingRule
from bomsvc.core.logic.gates import definition
from bomsvc.core.logic.standing import TRUE, Key

if TYPE_CHECKING:
    from bomsvc.core.logic.deciding import Outcomes

Differ = Callable[[Sequence[Key]], bool]
_SPENT_MOST = 20_000
"""Spent clauses after which the solver is rebuilt."""


class Twins:
    """The model twice; `differing` asks whether outcomes can differ."""

    def __init__(
        self,
        compiled: Compiled,
        rules: Sequence[StandingRule],
        *,
        solver: str,
        budget: Budget,
    ) -> None:
        self._compiled = compiled
        self._rules = tuple(rules)
        self._solver_name = solver
        self._budget = budget
        self._build()

    @contextmanager
    def differing(
        self, assumptions: Sequence[int], places: Sequence[Outcomes]
    ) -> Iterator[Differ]:
        """Lend a test: can two builds agree on these options, yet differ somewhere?

        Differ: at some place the outcome is not the same.
        """
        if self._spent > _SPENT_MOST:
            self._solver.delete()
            self._build()
        guard = self._fresh()
        self._write([-guard, *(self._place(guard, place) for place in places)])
        both = [own(lit) for lit in assumptions for own in self._copies]

        def differ(keys: Sequence[Key]) -> bool:
            return self._solve([*both, guard, *(self._equal[key] for key in keys)])

        try:
            yield differ
        finally:
            self._solver.add_clause([-guard])

    def _place(self, guard: int, place: Outcomes) -> int:
        """Return a variable that, when true, makes the place's outcomes differ."""
        differs = self._fresh()
        pairs = [tuple(own(lit) for own in self._copies) for lit in place.lits]
        if place.classes is None:
            self._some_literal_differs(guard, differs, pairs)
        else:
            self._classes_differ(guard, differs, pairs, place.classes)
        return differs

    def _some_literal_differs(
        self, guard: int, differs: int, pairs: Sequence[tuple[int, ...]]
    ) -> None:
        unequal = []
        for here, there in pairs:
            one = self._fresh()
            self._write([-guard, -one, here, there])
            self._write([-guard, -one, -here, -there])
            unequal.append(one)
        self._write([-guard, -differs, *unequal])

    def _classes_differ(
        self,
        guard: int,
        differs: int,
        pairs: Sequence[tuple[int, ...]],
        classes: Mapping[tuple[bool, ...], int],
    ) -> None:
        marks: dict[int, tuple[int, int]] = {}
        for vector, outcome in classes.items():
            if outcome not in marks:
                marks[outcome] = (self._fresh(), self._fresh())
            for copy, mark in enumerate(marks[outcome]):
                against = [
                    -pair[copy] if value else pair[copy]
                    for pair, value in zip(pairs, vector, strict=True)
                ]
                self._write([-guard, *against, mark])
        for here, there in marks.values():
            self._write([-guard, -differs, -here, -there])

    def _write(self, clause: list[int]) -> None:
        self._solver.add_clause(clause)
        self._spent += 1

    def _solve(self, assumptions: Sequence[int]) -> bool:
        self._solver.conf_budget(self._budget.conflicts)
        verdict = self._solver.solve_limited(assumptions=assumptions)
        if verdict is None:
            raise Unsettled
        return bool(verdict)

    def _fresh(self) -> int:
        self._top += 1
        return self._top

    def _build(self) -> None:
        model = self._compiled.model
        self._solver = Solver(name=self._solver_name)
        self._spent = 0
        self._top = 2 * model.core
        here = _Copy(model, 0, self._fresh, self._solver.add_clause)
        there = _Copy(model, model.core, self._fresh, self._solver.add_clause)
        self._copies = (here.own, there.own)
        for own in self._copies:
            self._solver.add_clause([own(TRUE)])
            for unit in model.structure:
                for clause in unit.clauses:
                    self._solver.add_clause([own(lit) for lit in clause])
            for rule in self._rules:
                for clause in rule.clauses:
                    self._solver.add_clause([own(lit) for lit in clause])
        self._equal = {key: self._equality(key) for key in self._compiled.options}

    def _equality(self, key: Key) -> int:
        """Return a variable that, when true, makes both copies' choices equal."""
        equal = self._fresh()
        here, there = self._copies
        for lit in self._compiled.options[key].choices.values():
            self._solver.add_clause([-equal, -here(lit), there(lit)])
            self._solver.add_clause([-equal, here(lit), -there(lit)])
        return equal


class _Copy:
    """One copy's variables: core shifted, gates made when first met."""

    def __init__(
        self,
        model: Model,
        shift: int,
        fresh: Callable[[], int],
        add: Callable[[list[int]], object],
    ) -> None:
        self._model = model
        self._shift = shift
        self._fresh = fresh
        self._add = add
        self._gates: dict[int, int] = {}

    def own(self, lit: int) -> int:
        """Return this copy's literal."""
        variable = abs(lit)
        if variable <= self._model.core:
            return lit + self._shift if lit > 0 else lit - self._shift
        gate = self._gates.get(variable)
        if gate is None:
            inputs = [self.own(x) for x in self._model.inputs_of(variable)]
            gate = self._gates[variable] = self._fresh()
            for clause in definition(gate, inputs):
                self._add(clause)
        return gate if lit > 0 else -gate
