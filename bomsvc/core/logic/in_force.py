"""The rules in force for one engine: what may be, settled for any condition."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np

from bomsvc.core.logic.budget import Budget
from bomsvc.core.logic.compiled import Compiled, StandingRule
from bomsvc.core.logic.counting import Counter
from bomsvc.core.logic.domains import Domain, Flags, domain_of
from bomsvc.core.logic.engine import Engine
from bomsvc.core.logic.gates import Clause
from bomsvc.core.logic.memo import Memo
from bomsvc.core.logic.pool import Pool
from bomsvc.core.logic.residual import Residual
from bomsvc.core.logic.standing import TRUE, Key, Lit
from bomsvc.core.logic.support import Support
from bomsvc.core.logic.table import Table

State = Literal["certain", "excluded", "open"]
Assumptions = tuple[Lit, ...]

_DOMAINS_KEPT = 512
_TABLES_KEPT = 64
_FEW = 6
"""Unseen values that are sooner asked of the solver one by one."""
_WORDS_FEW, _WORDS_MANY = 4, 16
"""Sixty-fours of known builds looked at: first, and while much is unseen."""
_SPLICED = 128
"""Builds spliced at once, a multiple of 64."""


@dataclass
class InForce:
    """One set of rules in force, with its solvers; not safe between threads.

    `options` answers questions about choices only and stays small; `conditions`
    carries the definitions of the conditions asked about.
    """

    compiled: Compiled
    rules: tuple[StandingRule, ...]
    options: Engine
    conditions: Engine
    pool: Pool
    residual: Residual
    domains: Memo[Domain | None] = field(default_factory=lambda: Memo(_DOMAINS_KEPT))
    tables: Memo[Table] = field(default_factory=lambda: Memo(_TABLES_KEPT))
    last: tuple[Assumptions, Domain] | None = None

    @cached_property
    def counter(self) -> Counter:
        """Counts builds under these rules."""
        return Counter(self.compiled, self.clauses())

    @cached_property
    def support(self) -> Support:
        """Tells which options conditions speak of."""
        return Support(self.compiled)

    def begin(self) -> None:
        """Let the solvers shed what is spent; before each public question."""
        self.options.begin()
        self.conditions.begin()

    def clauses(self) -> list[Clause]:
        """Return the clauses of the rules in force."""
        return [clause for rule in self.rules for clause in rule.clauses]

    def engine_for(self, lits: Sequence[int]) -> Engine:
        """Return the engine that can speak of these literals."""
        core = self.compiled.model.core
        plain = all(-core <= lit <= core for lit in lits)
        return self.options if plain else self.conditions

    def possible(self, lits: Sequence[int]) -> bool:
        """Return whether some valid build has all the literals."""
        engine = self.engine_for(lits)
        if not engine.solve(engine.locals(lits)):
            return False
        engine.found()
        return True

    def domain(self, assumptions: Assumptions) -> Domain | None:
        """Return what each core variable can be; None without any build."""
        return self.domains.get(assumptions, lambda: self._domain(assumptions))

    def may_hold(
        self, assumptions: Assumptions, lits: Sequence[Lit]
    ) -> tuple[Flags, Flags] | None:
        """Return which literals hold in some, fail in some remaining build, exactly.

        None when no build remains.
        """
        domain = self.domain(assumptions)
        if domain is None:
            return None
        table = self.table(tuple(lits))
        can_hold, can_fail = table.possible(domain.can_hold, domain.can_fail)
        holds, fails = self._witnessed(table, assumptions)
        unseen = can_hold & can_fail & ~(holds & fails)
        if np.count_nonzero(unseen) > _FEW:
            self._splice(domain)
            holds, fails = self._witnessed(table, assumptions, words=_WORDS_MANY)
        for index in np.flatnonzero(can_hold & can_fail & ~holds).tolist():
            can_hold[index] = holds[index] or self._some(
                assumptions, lits[index], (table, holds, fails)
            )
        for index in np.flatnonzero(can_hold & can_fail & ~fails).tolist():
            can_fail[index] = fails[index] or self._some(
                assumptions, Lit(-lits[index]), (table, holds, fails)
            )
        return can_hold, can_fail

    def states(
        self, assumptions: Assumptions, lits: Sequence[Lit]
    ) -> tuple[State, ...]:
        """Return each literal's state over the remaining builds.

        Without any remaining build every literal is excluded.
        """
        found = self.may_hold(assumptions, lits)
        if found is None:
            return tuple("excluded" for _ in lits)
        pairs = zip(found[0].tolist(), found[1].tolist(), strict=True)
        return tuple(_state(hold, fail) for hold, fail in pairs)

    def table(self, lits: tuple[Lit, ...]) -> Table:
        """Return the table that evaluates these literals."""
        return self.tables.get(lits, lambda: Table(self.compiled.model, lits))

    def _domain(self, assumptions: Assumptions) -> Domain | None:
        wider = None
        if self.last is not None and set(self.last[0]) <= set(assumptions):
            wider = self.last[1]
        domain = domain_of(self.options, self.residual, assumptions, wider)
        if domain is not None:
            self.last = (assumptions, domain)
        return domain

    def _splice(self, domain: Domain) -> None:
        """Put remaining builds into the pool, spliced from those it has."""
        settled = (~domain.can_fail).astype(np.int8) - ~domain.can_hold
        settled[0] = -1
        builds = self.residual.spliced(self.pool, settled, _SPLICED)
        if builds.shape[1]:
            self.pool.add_all(builds)

    def _witnessed(
        self, table: Table, assumptions: Assumptions, *, words: int = _WORDS_FEW
    ) -> tuple[Flags, Flags]:
        """Return what known builds show of each literal: that it holds, that it fails.

        At most 64 times `words` builds are looked at, the newest ones.
        """
        matching = self.pool.matching([TRUE, *assumptions])
        core, mask = self.pool.words(matching, most=words)
        truths = table.truths_in(core)
        return (truths & mask != 0).any(axis=1), (~truths & mask != 0).any(axis=1)

    def _some(
        self,
        assumptions: Assumptions,
        lit: Lit,
        seen: tuple[Table, Flags, Flags],
    ) -> bool:
        """Settle one literal; its witness also settles others in `seen`."""
        engine = self.conditions
        if not engine.solve([*assumptions, engine.local(lit)]):
            return False
        values = engine.found()
        table, holds, fails = seen
        truths = table.truths(values)
        holds |= truths
        fails |= ~truths
        return True


def _state(can_hold: bool, can_fail: bool) -> State:  # noqa: FBT001
    if can_hold and can_fail:
        return "open"
    return "certain" if can_hold else "excluded"


def rules_in_force(
    compiled: Compiled, waived: Sequence[Key], *, solver: str, budget: Budget
) -> InForce:
    """Return the model with all rules but the waived ones."""
    rules = [rule for rule in compiled.model.rules if rule.key not in set(waived)]

    pool = Pool(compiled.model.core)

    def engine() -> Engine:
        return Engine(compiled.model, rules, pool, solver=solver, budget=budget)

    return InForce(
        compiled,
        tuple(rules),
        engine(),
        engine(),
        pool,
        Residual(compiled.model, rules),
    )
