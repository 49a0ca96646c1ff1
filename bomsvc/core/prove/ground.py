"""What every check stands on: the revision, a solver, known builds, a budget."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from bomsvc.core.logic.budget import Budget, Unsettled
from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.domains import Flags
from bomsvc.core.logic.engine import Engine
from bomsvc.core.logic.pool import Pool
from bomsvc.core.logic.standing import FALSE, TRUE, Lit
from bomsvc.core.logic.table import Table
from bomsvc.core.logic.witness import least_build
from bomsvc.core.prove.usual import usual_except

PROOF_BUDGET = Budget(conflicts=200_000)
_GATES_LOADED = 4_000
"""Gates in a solver after which a fresh one is quicker."""
_ROUND = 64

Numbers = NDArray[np.int_]
Clauses = tuple[tuple[int, ...], ...]
Watch = Callable[[int, int], None]
"""Told how many questions are done, of how many; may raise to stop the proof."""


def unwatched(done: int, total: int) -> None:
    """Watch nothing."""
    del done, total


class Ground:
    """Answers "is there a valid build with all of these?" about one revision.

    Attributes:
        compiled: The revision, with the checks' own gates.
        refuted: Where kept: clauses that no valid build meets together, each a
            clean verdict, with what was asked about at first.
        about: What is asked about now, for whoever reads the verdicts.
    """

    def __init__(
        self,
        compiled: Compiled,
        *,
        budget: Budget = PROOF_BUDGET,
        solver: str = "glucose4",
        keep_refuted: bool = False,
    ) -> None:
        self.compiled = compiled
        self.budget = budget
        self._solver = solver
        self._pool = Pool(compiled.model.core)
        self._engine = self._fresh()
        self._verdicts: dict[tuple[Lit, ...], bool | None] = {}
        self._least: dict[tuple[Lit, ...], Build] = {}
        self._least_of: dict[tuple[tuple[Lit, ...], ...], Build] = {}
        self._shown: dict[Build, str] = {}
        self.refuted: dict[Clauses, str] | None = {} if keep_refuted else None
        self.about = ""
        self.asked = 0
        self._turn = 0

    def possible(self, lits: Iterable[Lit]) -> bool | None:
        """Return whether a valid build has all the literals; None: not settled."""
        question = tuple(sorted(set(self._flat(lits)), key=abs))
        if FALSE in question or _contradicts(question):
            self.refute((lit,) for lit in question)
            return False
        known = self._verdicts.get(question, _UNKNOWN)
        if known is not _UNKNOWN:
            return known  # type: ignore[return-value]
        verdict = self._verdicts[question] = self._ask(question)
        if verdict is False:
            self.refute((lit,) for lit in question)
        return verdict

    def refute(self, clauses: Iterable[tuple[int, ...]]) -> None:
        """Note, where that is kept, that no valid build meets all these clauses."""
        if self.refuted is not None:
            self.refuted.setdefault(tuple(clauses), self.about)

    def least(self, lits: Iterable[Lit]) -> Build:
        """Return the least valid build with the literals; there must be one.

        Raises:
            Unsettled: The budget ran out.
        """
        question = tuple(sorted(set(lits), key=abs))
        found = self._least.get(question)
        if found is None:
            found = least_build(self.compiled, self._ready(), question, None)
            assert found is not None, "a counter-example is asked of what is possible"
            self._least[question] = found
        return found

    def least_of(self, terms: Sequence[tuple[Lit, ...]]) -> Build:
        """Return the least valid build that has all literals of some term.

        Raises:
            Unsettled: The budget ran out.
        """
        question = tuple(terms)
        known = self._least_of.get(question)
        if known is not None:
            return known
        engine = self._ready()
        with engine.guarded() as guard:
            chosen = [engine.fresh() for _ in terms]
            for one, term in zip(chosen, terms, strict=True):
                for lit in engine.locals(term):
                    engine.add([-one, lit])
            engine.add([-guard, *chosen])
            found = least_build(self.compiled, engine, (), None, also=[guard])
        assert found is not None, "a counter-example is asked of what is possible"
        self._least_of[question] = found
        return found

    def beside(self, clauses: Iterable[tuple[int, ...]]) -> Beside:
        """Return questions with further clauses; see `Beside`."""
        return Beside(self.compiled, self._fresh(), clauses)

    def shown(self, build: Build) -> str:
        """Return the build as the usual one with its exceptions."""
        found = self._shown.get(build)
        if found is None:
            usual = self.least(())
            found = self._shown[build] = usual_except(self.compiled, build, usual)
        return found

    def usual(self) -> Build | None:
        """Return the usual build; None where none is valid, or it was not settled."""
        try:
            return self.least(()) if self.possible(()) else None
        except Unsettled:
            return None

    def never(self, lits: Sequence[Lit]) -> list[bool | None]:
        """Return for each literal whether no valid build has it; None: not settled.

        Much quicker than one question each: every build found answers for all.
        """
        distinct = tuple(dict.fromkeys(lits))
        table = Table(self.compiled.model, distinct)
        seen = self._seen(table, self._pool)
        dead: dict[Lit, bool | None] = {}
        waiting = [n for n in range(len(distinct)) if not seen[n]]
        while waiting:
            pool = Pool(self.compiled.model.core, capacity=_ROUND)
            for n in waiting[:_ROUND]:
                self._ready().prefer(self._spread_out())
                dead[distinct[n]] = self._dead(distinct[n], pool)
            seen |= self._seen(table, pool)
            waiting = [n for n in waiting[_ROUND:] if not seen[n]]
        return [dead.get(lit, False) for lit in lits]

    def _spread_out(self) -> list[int]:
        """Return choices to try first, others each time, so that builds differ.

        It changes no verdict, only how many builds it takes to see everything.
        """
        self._turn += 1
        lits, starts, lengths = self._wishes
        place = np.arange(len(starts))
        index = (self._turn * (2 * place + 1) + place * place) % lengths
        wished = -lits
        wished[starts + index] *= -1
        wishes: list[int] = wished.tolist()
        return wishes

    @cached_property
    def _wishes(self) -> tuple[Numbers, Numbers, Numbers]:
        """Return every choice, and where each option's start and how many it has."""
        each = [tuple(o.choices.values()) for o in self.compiled.options.values()]
        lengths = np.array([len(lits) for lits in each])
        starts = np.cumsum(lengths) - lengths
        return np.array([lit for lits in each for lit in lits]), starts, lengths

    def _dead(self, lit: Lit, pool: Pool) -> bool | None:
        question = tuple(sorted(set(self._flat((lit,))), key=abs))
        if FALSE in question:
            self.refute((x,) for x in question)
            return True
        engine = self._ready()
        try:
            self.asked += 1
            if not engine.solve(engine.locals(question)):
                self.refute((x,) for x in question)
                return True
        except Unsettled:
            return None
        pool.add(engine.values())
        return False

    @staticmethod
    def _seen(table: Table, pool: Pool) -> Flags:
        core, mask = pool.words(pool.matching([TRUE]), most=16)
        seen: Flags = (table.truths_in(core) & mask != 0).any(axis=1)
        return seen

    def _ask(self, question: Sequence[Lit]) -> bool | None:
        engine = self._ready()
        self.asked += 1
        try:
            if not engine.solve(engine.locals(question)):
                return False
        except Unsettled:
            return None
        engine.found()
        return True

    def _flat(self, lits: Iterable[Lit]) -> Iterable[Lit]:
        """Yield conjunctions as their parts, so that they need no gate."""
        for lit in lits:
            inputs = self.compiled.model.inputs_of(lit) if lit > 0 else ()
            if inputs:
                yield from self._flat(inputs)
            elif lit != TRUE:
                yield lit

    def _ready(self) -> Engine:
        if self._engine.top - self.compiled.model.core > _GATES_LOADED:
            self._engine = self._fresh()
        return self._engine

    def _fresh(self) -> Engine:
        model = self.compiled.model
        return Engine(
            model, model.rules, self._pool, solver=self._solver, budget=self.budget
        )


class Beside:
    """Asks about valid builds together with guesses, tied to them by clauses.

    Variables above the model's gates are the clauses' own.
    """

    def __init__(
        self, compiled: Compiled, engine: Engine, clauses: Iterable[tuple[int, ...]]
    ) -> None:
        self._compiled = compiled
        self._engine = engine
        self._own: dict[int, int] = {}
        for clause in clauses:
            engine.add(self._local(lit) for lit in clause)

    def possible(self, lits: Sequence[int]) -> bool:
        """Return whether some build and some guesses have all the literals.

        Raises:
            Unsettled: The budget ran out.
        """
        return self._engine.solve([self._local(lit) for lit in lits])

    def least(self, lits: Sequence[int]) -> Build:
        """Return the least build for which some guesses have all the literals.

        Raises:
            Unsettled: The budget ran out.
        """
        fixed = [self._local(lit) for lit in lits]
        found = least_build(self._compiled, self._engine, (), None, also=fixed)
        assert found is not None, "a counter-example is asked of what is possible"
        return found

    def _local(self, lit: int) -> int:
        variable = abs(lit)
        if variable <= self._compiled.model.top:
            return self._engine.local(lit)
        own = self._own.get(variable)
        if own is None:
            own = self._own[variable] = self._engine.fresh()
        return own if lit > 0 else -own


_UNKNOWN = object()


def _contradicts(question: Sequence[Lit]) -> bool:
    """Tell whether a literal and its negation stand side by side."""
    return any(a == -b for a, b in pairwise(question))
