"""One incremental solver over the compiled model; definitions load on demand.

A request handler never sees a solver: `Reasoner` owns engines under its lock.
Only verdicts leave an engine as results; models leave it as witnesses.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager

import numpy as np
from numpy.typing import NDArray
from pysat.solvers import Solver

from bomsvc.core.logic.budget import Budget, Unsettled
from bomsvc.core.logic.compiled import Model, StandingRule
from bomsvc.core.logic.gates import definition
from bomsvc.core.logic.pool import Pool

_ADDED_MOST = 20_000
"""Clauses added by questions after which the solver is rebuilt."""
_LOADED_MOST = 20_000
"""Loaded gate definitions after which the solver is rebuilt."""


class Engine:
    """The model with a fixed set of rules in force, in one solver.

    Literals of core variables are the solver's own; gates get local variables
    when first asked about. `begin` must be called before each public operation:
    it may rebuild the solver, after which local literals are new.
    """

    def __init__(
        self,
        model: Model,
        rules: Sequence[StandingRule],
        pool: Pool,
        *,
        solver: str,
        budget: Budget,
    ) -> None:
        self._model = model
        self._rules = tuple(rules)
        self._solver_name = solver
        self._budget = budget
        self.pool = pool
        self._top = 0
        self._build()

    def begin(self) -> None:
        """Rebuild the solver when it carries too much that is spent."""
        if self._added > _ADDED_MOST or len(self._local) > _LOADED_MOST:
            self._solver.delete()
            self._build()

    def local(self, lit: int) -> int:
        """Return the solver's literal, loading definitions as needed."""
        variable = abs(lit)
        if variable <= self._model.core:
            return lit
        own = self._local.get(variable)
        if own is None:
            own = self._load(variable)
        return own if lit > 0 else -own

    def locals(self, lits: Iterable[int]) -> list[int]:
        """Return the solver's literals, in order."""
        return [self.local(lit) for lit in lits]

    def fresh(self) -> int:
        """Return a solver variable that nothing mentions yet."""
        self._top += 1
        return self._top

    def reserve(self, top: int) -> None:
        """Keep variables up to `top` for clauses made elsewhere."""
        self._top = max(self._top, top)

    @property
    def top(self) -> int:
        """The highest variable in use."""
        return self._top

    def add(self, clause: Iterable[int]) -> None:
        """Add a clause of local literals for good."""
        self._solver.add_clause(list(clause))
        self._added += 1

    @contextmanager
    def guarded(self) -> Iterator[int]:
        """Lend a guard: clauses with its negation hold while it is assumed."""
        guard = self.fresh()
        try:
            yield guard
        finally:
            self.add([-guard])

    def solve(self, assumptions: Sequence[int]) -> bool:
        """Return whether a build meets all local assumptions.

        Raises:
            Unsettled: The conflict budget ran out.
        """
        self._solver.conf_budget(self._budget.conflicts)
        verdict = self._solver.solve_limited(assumptions=assumptions)
        if verdict is None:
            raise Unsettled
        return bool(verdict)

    def prefer(self, lits: Sequence[int]) -> None:
        """Ask the solver to try these literals first; changes no verdict."""
        self._solver.set_phases(lits)

    def implied(self, assumptions: Sequence[int]) -> list[int]:
        """Return literals that follow by unit propagation alone."""
        _, lits = self._solver.propagate(assumptions=assumptions)
        return [lit for lit in lits if abs(lit) <= self._model.core]

    def found(self) -> NDArray[np.bool_]:
        """Return the last build's core values, and remember it in the pool."""
        values = self.values()
        self.pool.add(values)
        return values

    def values(self) -> NDArray[np.bool_]:
        """Return the last build's core values (index 0 unused)."""
        signed = np.array(self._solver.get_model()[: self._model.core])
        values = np.zeros(self._model.core + 1, dtype=np.bool_)
        values[1:] = signed > 0
        return values

    def _build(self) -> None:
        self._solver = Solver(name=self._solver_name)
        self._top = self._model.core
        self._local: dict[int, int] = {}
        self._added = 0
        self._solver.add_clause([1])
        self._mention_core()
        for unit in self._model.structure:
            for clause in unit.clauses:
                self._solver.add_clause(list(clause))
        for rule in self._rules:
            for clause in rule.clauses:
                self._solver.add_clause(self.locals(clause))

    def _mention_core(self) -> None:
        """Make the solver know every core variable, so models have them all."""
        core = self._model.core
        self._solver.add_clause([core, -core])

    def _load(self, variable: int) -> int:
        inputs = self.locals(self._model.inputs_of(variable))
        own = self.fresh()
        self._local[variable] = own
        for clause in definition(own, inputs):
            self._solver.add_clause(clause)
        return own
