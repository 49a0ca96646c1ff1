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
from bomsvc.core.logic.full_builds import build_from
from bomsvc.core.logic.identified import Identified, all_options
from bomsvc.core.logic.in_force import InForce, State, rules_in_force
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.memo import Memo
from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.logic.table import Table
from bomsvc.core.logic.witness import least_build

_IN_FORCE_KEPT = 4
_TABLES_KEPT = 32


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
            explain: (option key, choice code) pairs whose state is to be explained.
        """
        with self._lock:
            rules = self._rules(known)
            domain = rules.domain(known.assumptions)
            options = all_options(self.compiled, domain, known, {})
            if domain is None:
                return Identified(False, options, 0, self.clash(known))  # noqa: FBT003
            return Identified(True, options, None)  # noqa: FBT003

    def clash(self, known: Known) -> Clash:
        """Explain why the answers contradict each other.

        Call it only when `consistent` is false.
        """
        with self._lock:
            return find_clash(self._rules(known), self._blaming(), known, self._budget)

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
