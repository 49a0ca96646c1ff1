"""Ask the compiled revision: what may be, what must be, and why.

A `Reasoner` may be shared between threads: every question takes its lock, and no
solver leaves it. Answers depend on the revision and the question only, never on
earlier questions, on the solver's models or on hashing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from threading import RLock

from bomsvc.core.logic.blame import Blame
from bomsvc.core.logic.budget import USUAL_BUDGET, Budget
from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.cases import Cases, find_cases
from bomsvc.core.logic.clash import Clash, find_clash
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.completing import Completed, complete_build
from bomsvc.core.logic.covers import Cover, find_cover
from bomsvc.core.logic.deciding import Decider, Outcomes
from bomsvc.core.logic.full_builds import build_from
from bomsvc.core.logic.identified import Identified, Sheet
from bomsvc.core.logic.in_force import InForce, State, rules_in_force
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.memo import Memo
from bomsvc.core.logic.questions import (
    Question,
    ToMeasure,
    best_questions,
    measures,
)
from bomsvc.core.logic.reasons import Reason
from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.logic.table import Table
from bomsvc.core.logic.whys import Why, find_reasons
from bomsvc.core.logic.witness import least_build

_IN_FORCE_KEPT = 4
_TABLES_KEPT = 32
_ANSWERS_KEPT = 1024


class Reasoner:
    """Answers questions about one compiled revision.

    Raises (any question):
        Unsettled: The budget ran out before the question was settled.
    """

    def __init__(
        self,
        compiled: Compiled,
        *,
        solver: str = "glucose4",
        budget: Budget = USUAL_BUDGET,
    ) -> None:
        self.compiled = compiled
        self._solver = solver
        self._budget = budget
        self._lock = RLock()
        self._in_force: Memo[InForce] = Memo(_IN_FORCE_KEPT)
        self._tables: Memo[Table] = Memo(_TABLES_KEPT)
        self._counts: Memo[int | None] = Memo(_ANSWERS_KEPT)
        self._deciding: Memo[tuple[Key, ...]] = Memo(_ANSWERS_KEPT)
        self._deciders: Memo[Decider] = Memo(_IN_FORCE_KEPT)
        self._sheet = Sheet(compiled)
        self._blame: Blame | None = None

    def consistent(self, known: Known) -> bool:
        """Return whether any valid build agrees with what is known."""
        return self.possible(known, ())

    def possible(self, known: Known, lits: Sequence[Lit]) -> bool:
        """Return whether some remaining build has all the literals."""
        with self._lock:
            return self._rules(known).possible([*known.assumptions, *lits])

    def certain(self, known: Known, lit: Lit) -> bool:
        """Return whether every remaining build has the literal."""
        return not self.possible(known, (Lit(-lit),))

    def states(self, known: Known, lits: Sequence[Lit]) -> tuple[State, ...]:
        """Return each literal's state: certain, excluded or open, exactly.

        Without any remaining build every literal is excluded.
        """
        with self._lock:
            return self._rules(known).states(known.assumptions, lits)

    def cases(self, known: Known, lits: Sequence[Lit], *, limit: int) -> Cases:
        """Return all distinct truth vectors of `lits` over the remaining builds.

        Sorted, True before False, first literal first. When there are more than
        `limit`, the first `limit` in order, and `complete` is False.
        """
        with self._lock:
            return find_cases(self._rules(known), known.assumptions, lits, limit)

    def witness(self, known: Known, lits: Sequence[Lit] = ()) -> Build | None:
        """Return the least remaining build with all the literals, or None.

        Least: options in document order (a parent before its children, the serial
        last), the usual choice first, then document order.
        """
        with self._lock:
            rules = self._rules(known)
            wanted = [*known.assumptions, *lits]
            engine = rules.engine_for(wanted)
            return least_build(self.compiled, engine, wanted, known.serial)

    def full(self, answers: Mapping[str, object]) -> Build:
        """Return the full build that the answers describe, without solving.

        Raises:
            BadInput: An answer is wrong, an active option has none, or an
                inactive option has one. Rules are not looked at: see
                `broken_rules`.
        """
        return build_from(self.compiled, answers)

    def broken_rules(self, build: Build) -> tuple[Key, ...]:
        """Return the rules that a full build breaks, in document order."""
        return tuple(
            rule.key
            for rule in self.compiled.model.rules
            if build.truth(rule.when) and not build.truth(rule.then)
        )

    def truths(self, build: Build, lits: Sequence[Lit]) -> tuple[bool, ...]:
        """Return the truth of many literals in one build; fast for long lists.

        Pass the same tuple again to reuse its table.
        """
        return tuple(self.table(tuple(lits)).truths(build.core).tolist())

    def table(self, lits: tuple[Lit, ...]) -> Table:
        """Return the table that evaluates these literals; it needs no lock."""
        with self._lock:
            return self._tables.get(lits, lambda: Table(self.compiled.model, lits))

    def identify(
        self, known: Known, explain: Sequence[tuple[Key, str]] = ()
    ) -> Identified:
        """Return what the answers tell of every choice.

        Args:
            known: The answers.
            explain: (option key, choice code) pairs to be explained. An open
                choice has no reason.
        """
        with self._lock:
            domain = self._rules(known).domain(known.assumptions)
            whys = {} if domain is None else self._whys(known, explain)
            options = self._sheet.options(domain, known, whys)
            left = self.count(known)
            clash = self.clash(known) if domain is None else None
            return Identified(domain is not None, options, left, clash)

    def clash(self, known: Known) -> Clash:
        """Explain why the answers contradict each other.

        Call it only when `consistent` is false.
        """
        with self._lock:
            rules = self._rules(known)
            return find_clash(rules, self._blaming(), known, self._budget)

    def count(self, known: Known) -> int | None:
        """Return how many builds remain, exactly, or None beyond the budget.

        Serial numbers count by their intervals.
        """
        with self._lock:
            return self._counts.get(
                (known.assumptions, known.waived), lambda: self._count(known)
            )

    def complete(self, known: Known) -> Completed | None:
        """Return a full build that keeps the most usual choices, or None."""
        with self._lock:
            return complete_build(self._rules(known), known)

    def why(self, known: Known, lit: Lit) -> Why:
        """Return what decides a literal: reasons, or the options that would.

        Call it only when the answers are consistent.
        """
        with self._lock:
            (state,) = self.states(known, (lit,))
            if state == "open":
                return Why(state, (), self.deciding(known, [Outcomes((lit,))]))
            forced = lit if state == "certain" else Lit(-lit)
            rules = self._rules(known)
            return Why(state, find_reasons(rules, self._blaming(), known, forced))

    def cover(self, known: Known, lit: Lit, *, limit: int = 50) -> Cover:
        """Return in which remaining builds a literal holds, in the fewest words.

        An irredundant cover by prime terms, at most `limit` of them, over the
        options that the condition names. Call it only when consistent.
        """
        with self._lock:
            rules = self._rules(known)
            keys = self._decider(known).support.of((lit,))
            return find_cover(rules, known.assumptions, lit, keys, limit)

    def deciding(self, known: Known, places: Sequence[Outcomes]) -> tuple[Key, ...]:
        """Return an irreducible set of open options that decides all outcomes.

        In document order; options that can be asked are preferred to measured
        ones, those to options that cannot be told. () when nothing is open.
        """
        with self._lock:
            domain = self._rules(known).domain(known.assumptions)
            if domain is None or not places:
                return ()
            return self._deciding.get(
                (known, tuple(places)),
                lambda: self._decider(known).deciding(known, domain, places),
            )

    def questions(
        self,
        known: Known,
        places: Sequence[Outcomes],
        *,
        weights: Sequence[Known] = (),
    ) -> tuple[Question, ...]:
        """Return the deciding options that can be asked, the best one first.

        `weights`: engines on file; each case weighs 1 and those that agree with it.
        """
        with self._lock:
            keys = self.deciding(known, places)
            rules = self._rules(known)
            return best_questions(rules, known, keys, places, weights=weights)

    def to_measure(
        self, known: Known, places: Sequence[Outcomes]
    ) -> tuple[ToMeasure, ...]:
        """Return the measured options that the outcomes wait on."""
        with self._lock:
            return measures(self._rules(known), known, self.deciding(known, places))

    def _whys(
        self, known: Known, explain: Sequence[tuple[Key, str]]
    ) -> dict[tuple[Key, str], tuple[Reason, ...]]:
        options = self.compiled.options
        return {
            (key, code): self.why(known, options[key].choices[code]).reasons
            for key, code in explain
        }

    def _count(self, known: Known) -> int | None:
        rules = self._rules(known)
        domain = rules.domain(known.assumptions)
        if domain is None:
            return 0
        return rules.counter.count(domain, cells=self._budget.cells)

    def _decider(self, known: Known) -> Decider:
        rules = self._rules(known)
        return self._deciders.get(
            known.waived,
            lambda: Decider(
                self.compiled, rules.rules, solver=self._solver, budget=self._budget
            ),
        )

    def _rules(self, known: Known) -> InForce:
        rules = self._in_force.get(
            known.waived,
            lambda: rules_in_force(
                self.compiled, known.waived, solver=self._solver, budget=self._budget
            ),
        )
        rules.begin()
        return rules

    def _blaming(self) -> Blame:
        if self._blame is None:
            self._blame = Blame(self.compiled, solver=self._solver, budget=self._budget)
        return self._blame
