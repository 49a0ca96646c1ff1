"""A small checker of refutations: reverse unit propagation, and nothing else.

It shares no code with the logic: clauses are lists of whole numbers, as in DIMACS.
A step of a trace holds when assuming its negation leads to a contradiction by unit
propagation alone from the clauses so far. (E. Goldberg, Y. Novikov, "Verification
of proofs of unsatisfiability for CNF formulas", DATE 2003.)
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import takewhile

Clause = tuple[int, ...]
Mark = tuple[int, frozenset[int], bool]
Step = tuple[bool, Clause]
"""(is it added, the clause); otherwise the clause is deleted."""


class Refused(Exception):  # noqa: N818 - a verdict
    """The trace does not show what it claims; says at which step."""


def check(clauses: Iterable[Sequence[int]], steps: Iterable[Step]) -> None:
    """Check that the steps refute the clauses.

    Raises:
        Refused: A step does not follow, or the trace ends without the empty clause.
    """
    Checker(()).check(clauses, steps)


class Checker:
    """Checks refutations that share most of their clauses."""

    def __init__(self, shared: Iterable[Sequence[int]]) -> None:
        self._held = _Held()
        for clause in shared:
            self._held.add(tuple(clause))
        self._shared = self._held.mark()

    def check(self, clauses: Iterable[Sequence[int]], steps: Iterable[Step]) -> None:
        """Check that the steps refute these clauses with the shared ones.

        A deletion of a shared clause is left undone: whatever follows from fewer
        clauses follows from more.

        Raises:
            Refused: A step does not follow, or the empty clause is not reached.
        """
        held = self._held
        try:
            for clause in clauses:
                held.add(tuple(clause))
            self._replay(steps)
        finally:
            held.back_to(self._shared)

    def _replay(self, steps: Iterable[Step]) -> None:
        held = self._held
        for number, (added, clause) in enumerate(steps, start=1):
            if not added:
                held.delete(clause, since=self._shared)
                continue
            if not held.follows(clause):
                raise Refused(f"step {number} does not follow")
            if not clause:
                return
            held.add(clause)
        if not held.follows(()):
            raise Refused("the trace ends without a contradiction")


def read_steps(lines: Iterable[str]) -> tuple[Step, ...]:
    """Read a trace in the DRUP format: literals ended by 0, `d` for a deletion.

    Raises:
        Refused: A line is not of that form.
    """
    return tuple(_step(line) for line in lines if line.strip())


def _step(line: str) -> Step:
    words = line.split()
    added = words[0] != "d"
    try:
        *lits, end = map(int, words if added else words[1:])
    except ValueError:
        raise Refused(f"not a line of a trace: {line!r}") from None
    if end != 0 or 0 in lits:
        raise Refused(f"not a line of a trace: {line!r}")
    return added, tuple(lits)


class _Held:
    """The clauses so far, each watched at two of its literals, and what they fix.

    What unit propagation fixes stays fixed: a clause that fixes something is kept
    when a trace deletes it, as solvers do not look at it again (M. Heule, W. Hunt,
    N. Wetzler, "Trimming while checking clausal proofs", FMCAD 2013).
    """

    def __init__(self) -> None:
        self._clauses: dict[int, list[int]] = {}
        self._numbers: dict[tuple[int, ...], list[int]] = defaultdict(list)
        self._watched: dict[int, set[int]] = defaultdict(set)
        self._fixed: set[int] = set()
        self._failed = False
        self._next = 0

    def add(self, clause: Clause) -> None:
        # Literals that can still hold come first, for these are watched.
        lits = sorted(set(clause), key=lambda lit: (-lit in self._fixed, lit))
        number, self._next = self._next, self._next + 1
        self._clauses[number] = lits
        self._numbers[tuple(sorted(lits))].append(number)
        for lit in lits[:2]:
            self._watched[lit].add(number)
        left = [lit for lit in lits[:2] if -lit not in self._fixed]
        if len(left) < 2:  # noqa: PLR2004 - a unit, or nothing left
            self._failed |= not left or self._fails(left, self._fixed)

    def mark(self) -> Mark:
        """Return a mark to come back to: what is held, and what it fixes."""
        return self._next, frozenset(self._fixed), self._failed

    def back_to(self, mark: Mark) -> None:
        """Forget every clause added after a mark, and what they fixed.

        Clauses from before stay watched where they are: at literals that were not
        false with more fixed, and so are not with less.
        """
        since, fixed, self._failed = mark
        newest = takewhile(lambda number: number >= since, reversed(self._clauses))
        for number in list(newest):
            self._numbers[tuple(sorted(self._clauses[number]))].remove(number)
            self._drop(number)
        self._fixed = set(fixed)

    def delete(self, clause: Clause, *, since: Mark) -> None:
        """Delete one clause of these literals, added after a mark, if there is one."""
        numbers = self._numbers.get(tuple(sorted(set(clause))))
        if numbers and numbers[-1] >= since[0] and not self._fixes(clause):
            self._drop(numbers.pop())

    def _drop(self, number: int) -> None:
        for lit in self._clauses.pop(number)[:2]:
            self._watched[lit].discard(number)

    def follows(self, clause: Clause) -> bool:
        """Return whether the negated clause fails by unit propagation."""
        return self._failed or self._fails([-x for x in clause], set(self._fixed))

    def _fixes(self, clause: Clause) -> bool:
        left = {lit for lit in clause if -lit not in self._fixed}
        return len(left) == 1 and left <= self._fixed

    def _fails(self, waiting: list[int], true: set[int]) -> bool:
        """Propagate into `true`; return whether that runs into a contradiction."""
        while waiting:
            lit = waiting.pop()
            if -lit in true:
                return True
            if lit in true:
                continue
            true.add(lit)
            if self._falsified(-lit, true, waiting):
                return True
        return False

    def _falsified(self, lit: int, true: set[int], waiting: list[int]) -> bool:
        """Visit the clauses watched at a false literal; True at a contradiction."""
        for number in list(self._watched[lit]):
            clause = self._clauses[number]
            if len(clause) == 1:
                return True
            other = clause[1] if clause[0] == lit else clause[0]
            if other in true:
                continue
            fresh = next((x for x in clause[2:] if -x not in true), None)
            if fresh is not None:
                self._move(number, clause, lit, fresh)
            elif -other in true:
                return True
            else:
                waiting.append(other)
        return False

    def _move(self, number: int, clause: list[int], lit: int, fresh: int) -> None:
        """Watch `fresh` instead of `lit`; the watched ones stand first."""
        place, spot = clause.index(lit), clause.index(fresh, 2)
        clause[place], clause[spot] = fresh, lit
        self._watched[lit].discard(number)
        self._watched[fresh].add(number)
