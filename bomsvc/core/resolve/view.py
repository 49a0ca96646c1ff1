"""Which conditions are settled by what is known, and the cases of those that are not.

One `View` serves one resolve. It asks the reasoner once for each condition and
remembers the answer, so that places sharing conditions share the work.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal

from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import TRUE, Lit

Truth = Callable[[Lit], bool]
Settled = Callable[[Lit], bool | None]
Vector = tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Cases:
    """The truth vectors of `lits` that remaining builds produce, sorted.

    `complete` is False when there were more than the limit.
    """

    lits: tuple[Lit, ...]
    vectors: tuple[Vector, ...]
    complete: bool


class View:
    """Truth under what is known: settled, or open with its cases."""

    def __init__(self, reasoner: Reasoner, known: Known) -> None:
        self.reasoner = reasoner
        self.known = known
        self._settled: dict[int, bool] = {abs(TRUE): True}
        self._open: set[int] = set()
        self._cases: dict[tuple[tuple[Lit, ...], int], Cases] = {}

    def look(self, lits: Iterable[Lit]) -> None:
        """Settle these conditions together, in one question to the reasoner."""
        self.look_at({abs(lit) for lit in lits})

    def look_at(self, variables: Iterable[int]) -> None:
        """Settle the conditions with these variables, in one question."""
        settled, still_open = self._settled, self._open
        asked = sorted(v for v in variables if v not in settled and v not in still_open)
        if not asked:
            return
        states = self.reasoner.states(self.known, [Lit(v) for v in asked])
        for variable, state in zip(asked, states, strict=True):
            if state == "open":
                self._open.add(variable)
            else:
                self._settled[variable] = state == "certain"

    def values(self, variables: tuple[int, ...]) -> tuple[bool | None, ...] | None:
        """The truth of looked-at conditions; None where one of them is open."""
        values = tuple(map(self._settled.get, variables))
        return None if None in values else values

    def open_among(self, lits: Iterable[Lit]) -> tuple[Lit, ...]:
        """The open conditions among these, as sorted positive literals."""
        asked = {abs(lit) for lit in lits}
        self.look(Lit(v) for v in asked)
        return tuple(Lit(v) for v in sorted(asked & self._open))

    def state(self, lit: Lit) -> Literal["certain", "excluded", "open"]:
        """Whether this condition holds in all, none or some remaining builds."""
        self.look((lit,))
        if abs(lit) in self._open:
            return "open"
        return "certain" if self._settled[abs(lit)] == (lit > 0) else "excluded"

    def cases(self, lits: tuple[Lit, ...], *, limit: int) -> Cases:
        """All distinct truth vectors of these open literals, at most `limit`."""
        if not lits:
            return Cases((), ((),), complete=True)
        key = (lits, limit)
        if key not in self._cases:
            found = self.reasoner.cases(self.known, lits, limit=limit)
            self._cases[key] = Cases(lits, found.vectors, complete=found.complete)
        return self._cases[key]

    def truth(self, lits: tuple[Lit, ...] = (), vector: Vector = ()) -> Truth:
        """Truth of every looked-at condition in the case where `lits` are so."""
        values = dict(zip(lits, vector, strict=True)) if lits else {}
        settled = self._settled

        def holds(lit: Lit) -> bool:
            variable = abs(lit)
            value = values.get(Lit(variable))
            if value is None:
                value = settled[variable]
            return value == (lit > 0)

        return holds

    def settled(self, lits: tuple[Lit, ...] = (), vector: Vector = ()) -> Settled:
        """Like `truth`, but None for a condition that the case leaves open."""
        values = dict(zip(lits, vector, strict=True)) if lits else {}

        def known(lit: Lit) -> bool | None:
            self.look((lit,))
            variable = abs(lit)
            value = values.get(Lit(variable), self._settled.get(variable))
            return None if value is None else value == (lit > 0)

        return known
