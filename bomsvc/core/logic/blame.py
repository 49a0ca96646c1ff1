"""Which rules, and which parts of the option tree, a conclusion rests on.

Here every rule and every option's form hangs on a selector of its own, so any of
them can be left out. Slower than the engines that have the rules built in, and
used for explanations only.
"""

from __future__ import annotations

from collections.abc import Sequence

from pysat.solvers import Solver

from bomsvc.core.logic.budget import Budget, Unsettled
from bomsvc.core.logic.compiled import Compiled, Model
from bomsvc.core.logic.gates import Clause, definition
from bomsvc.core.logic.quickxplain import irreducible
from bomsvc.core.logic.standing import Key


class Blame:
    """Finds irreducible reasons among rules and option forms."""

    def __init__(self, compiled: Compiled, *, solver: str, budget: Budget) -> None:
        self._compiled = compiled
        self._selected = _Selected(compiled.model, solver, budget)
        model = compiled.model
        units = len(model.structure)
        self._forms = [self._selected.selector(i) for i in range(units)]
        self._rules = {
            rule.key: self._selected.selector(units + i)
            for i, rule in enumerate(model.rules)
        }

    def waivable(self, waived: Sequence[Key]) -> list[Key]:
        """Return the factory rules still in force, in document order."""
        rules = self._compiled.rules
        return [
            key
            for key, rule in rules.items()
            if rule.rule.strength == "factory" and key not in waived
        ]

    def holds(
        self, factory: Sequence[Key], waived: Sequence[Key], lits: Sequence[int]
    ) -> bool:
        """Return whether the literals hold under these factory rules.

        Physical rules and the tree always count.
        """
        kept = {*factory, *self._physical(waived)}
        return self._selected.solve([*self._forms, *self._of(kept), *lits])

    def reason(
        self, waived: Sequence[Key], lits: Sequence[int]
    ) -> tuple[tuple[Key, ...], tuple[Key, ...]]:
        """Return irreducible rules and options under which `lits` cannot hold.

        Factory rules are named rather than physical ones. Of the tree, the options
        are named whose place (under another option's choice) counts.

        Args:
            waived: Rules that are not in force.
            lits: Literals without a build under the rules in force.
        """
        lits = self._selected.own(lits)
        rules = irreducible(
            [*self.waivable(waived), *self._physical(waived)],
            lambda keys: (
                not self._selected.solve([*self._forms, *self._of(set(keys)), *lits])
            ),
        )
        named = set(rules)
        return (
            tuple(key for key in self._rules if key in named),
            self._places(self._of(named), lits),
        )

    def _places(self, rules: list[int], lits: Sequence[int]) -> tuple[Key, ...]:
        structure = self._compiled.model.structure
        plain = [i for i, unit in enumerate(structure) if unit.kind != "under"]
        nested = [i for i, unit in enumerate(structure) if unit.kind == "under"]
        always = [self._forms[i] for i in plain]
        needed = irreducible(
            nested,
            lambda kept: (
                not self._selected.solve(
                    [*always, *(self._forms[i] for i in kept), *rules, *lits]
                )
            ),
        )
        return tuple(structure[i].option for i in needed)

    def _physical(self, waived: Sequence[Key]) -> list[Key]:
        factory = set(self.waivable(waived))
        return [k for k in self._rules if k not in factory and k not in waived]

    def _of(self, keys: set[Key]) -> list[int]:
        return [lit for key, lit in self._rules.items() if key in keys]


class _Selected:
    """A solver in which each unit of the structure and each rule has a selector."""

    def __init__(self, model: Model, solver: str, budget: Budget) -> None:
        self._model = model
        self._budget = budget
        self._solver = Solver(name=solver)
        self._solver.add_clause([1])
        groups = [unit.clauses for unit in model.structure]
        groups += [rule.clauses for rule in model.rules]
        self._first = model.core + 1
        self._top = model.core + len(groups)
        self._local: dict[int, int] = {}
        for index, clauses in enumerate(groups):
            for clause in clauses:
                self._guard(self.selector(index), clause)

    def selector(self, index: int) -> int:
        """Return the selector of the group at `index`: structure, then rules."""
        return self._first + index

    def own(self, lits: Sequence[int]) -> list[int]:
        """Return the solver's literals, loading definitions as needed."""
        return [self._own(lit) for lit in lits]

    def solve(self, assumptions: Sequence[int]) -> bool:
        self._solver.conf_budget(self._budget.conflicts)
        verdict = self._solver.solve_limited(assumptions=assumptions)
        if verdict is None:
            raise Unsettled
        return bool(verdict)

    def _guard(self, selector: int, clause: Clause) -> None:
        self._solver.add_clause([-selector, *(self._own(lit) for lit in clause)])

    def _own(self, lit: int) -> int:
        variable = abs(lit)
        if variable <= self._model.core:
            return lit
        own = self._local.get(variable)
        if own is None:
            inputs = [self._own(x) for x in self._model.inputs_of(variable)]
            self._top += 1
            own = self._local[variable] = self._top
            for defining in definition(own, inputs):
                self._solver.add_clause(defining)
        return own if lit > 0 else -own
