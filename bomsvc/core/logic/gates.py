"""Conditions as gates: every distinct conjunction is one variable, made once.

A gate is an AND of two or more literals; an OR is the negation of the AND of the
negations. Gates are hash-consed, so equal conditions are the same literal and a
fitment costs a number, not a formula. Contradictions and tautologies are folded
here, so no later table can mistake `x and not x` for `x`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from bomsvc.core.logic.standing import FALSE, TRUE, Lit

Clause = tuple[int, ...]

_LARGEST_INLINED = 12
"""A conjunction inside a conjunction is merged into it up to this many inputs."""


def negated(lit: Lit) -> Lit:
    """Return the literal that holds exactly when `lit` does not."""
    return Lit(-lit)


class Gates:
    """Allocates variables, first the core's, then one per distinct gate."""

    def __init__(self) -> None:
        self.core = 1
        self._inputs: list[tuple[Lit, ...]] = []
        self._known: dict[tuple[Lit, ...], Lit] = {}

    def fresh(self) -> Lit:
        """Return a new core variable; only before the first gate is made."""
        assert not self._inputs, "core variables come before gates"
        self.core += 1
        return Lit(self.core)

    def all_of(self, lits: Iterable[Lit]) -> Lit:
        """Return the literal of the conjunction; TRUE for no literals."""
        inputs: set[Lit] = set()
        for lit in self._flattened(lits):
            if lit == FALSE or -lit in inputs:
                return FALSE
            if lit != TRUE:
                inputs.add(lit)
        return self._gate(tuple(sorted(inputs, key=abs)))

    def any_of(self, lits: Iterable[Lit]) -> Lit:
        """Return the literal of the disjunction; FALSE for no literals."""
        return negated(self.all_of([negated(lit) for lit in lits]))

    def inputs_of(self, lit: int) -> tuple[Lit, ...]:
        """Return a gate's inputs; () for a core variable."""
        index = abs(lit) - self.core - 1
        return self._inputs[index] if index >= 0 else ()

    def inputs(self) -> tuple[tuple[Lit, ...], ...]:
        """Return every gate's inputs; gate `i` is variable `core + 1 + i`."""
        return tuple(self._inputs)

    def _flattened(self, lits: Iterable[Lit]) -> Iterator[Lit]:
        for lit in lits:
            inner = self.inputs_of(lit) if lit > 0 else ()
            if 0 < len(inner) <= _LARGEST_INLINED:
                yield from inner
            else:
                yield lit

    def _gate(self, inputs: tuple[Lit, ...]) -> Lit:
        if not inputs:
            return TRUE
        if len(inputs) == 1:
            return inputs[0]
        lit = self._known.get(inputs)
        if lit is None:
            self._inputs.append(inputs)
            lit = Lit(self.core + len(self._inputs))
            self._known[inputs] = lit
        return lit


def definition(gate: int, inputs: Iterable[int]) -> Iterator[list[int]]:
    """Yield the clauses that make `gate` true exactly when all inputs are."""
    inputs = tuple(inputs)
    for lit in inputs:
        yield [-gate, lit]
    yield [gate, *(-lit for lit in inputs)]
