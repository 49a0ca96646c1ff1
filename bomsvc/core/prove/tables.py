"""What something comes to, case by case, in two revisions; where that differs.

A `Table` says for every truth of a few conditions what comes out. Two tables are
compared over the cases of all their conditions that some valid build produces, and
the cases that differ are written as one condition.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from bomsvc.core.logic.gates import Gates
from bomsvc.core.logic.standing import FALSE, TRUE, Lit
from bomsvc.core.resolve.view import Truth, Vector, View

Value = TypeVar("Value")
CASES_MOST = 10_000
"""Cases of one place beyond which it is not compared case by case."""


class TooMany(Exception):  # noqa: N818 - a limit met, not a mistake
    """More cases than are compared one by one; `lits` are their conditions."""

    def __init__(self, lits: tuple[Lit, ...]) -> None:
        super().__init__()
        self.lits = lits


@dataclass(frozen=True, slots=True)
class Table(Generic[Value]):
    """A value per case of `lits` (positive literals, rising)."""

    lits: tuple[Lit, ...]
    rows: Mapping[Vector, Value]

    def at(self, truth: Truth) -> Value:
        """Return the value in the case that `truth` describes."""
        return self.rows[tuple(truth(lit) for lit in self.lits)]


def constant(value: Value) -> Table[Value]:
    """Return the table that no condition changes."""
    return Table((), {(): value})


@dataclass(frozen=True, slots=True)
class Split(Generic[Value]):
    """The values (before, after) in every case of the conditions of both tables."""

    lits: tuple[Lit, ...]
    rows: Mapping[Vector, tuple[Value, Value]]

    def at(self, truth: Truth) -> tuple[Value, Value]:
        """Return what comes out before and after in one build."""
        return self.rows[tuple(truth(lit) for lit in self.lits)]


def split(view: View, one: Table[Value], other: Table[Value]) -> Split[Value]:
    """Lay two tables side by side over the cases that some build produces.

    Raises:
        TooMany: There are more cases than are compared.
    """
    lits = tuple(sorted({*one.lits, *other.lits}))
    vectors = cases_of(view, lits)
    return Split(lits, {v: _pair(lits, v, one, other) for v in vectors})


def cases_of(view: View, lits: tuple[Lit, ...]) -> tuple[Vector, ...]:
    """Return the cases of open literals.

    Raises:
        TooMany: There are more than are compared.
    """
    cases = view.cases(lits, limit=CASES_MOST)
    if not cases.complete:
        raise TooMany(lits)
    return cases.vectors


def _pair(
    lits: tuple[Lit, ...], vector: Vector, one: Table[Value], other: Table[Value]
) -> tuple[Value, Value]:
    truth = dict(zip(lits, vector, strict=True)).__getitem__
    return one.at(truth), other.at(truth)


def where(
    gates: Gates, found: Split[Value], differs: Callable[[Value, Value], bool]
) -> Lit:
    """Return the literal of the cases in which the two values differ."""
    verdicts = {v: differs(one, other) for v, (one, other) in found.rows.items()}
    return _literal(gates, found.lits, verdicts)


Verdicts = Mapping[Vector, bool]


def _literal(gates: Gates, lits: Sequence[Lit], verdicts: Verdicts) -> Lit:
    """Return a literal that has the verdict in each of the cases.

    Cases that do not occur are free, so that as few conditions as tell the verdicts
    apart are read, and those as a tree.
    """
    told = set(verdicts.values())
    if len(told) < 2:  # noqa: PLR2004 - one verdict needs no condition
        return TRUE if told == {True} else FALSE
    columns = _telling(verdicts)
    cut = {tuple(v[c] for c in columns): verdict for v, verdict in verdicts.items()}
    return _tree(gates, tuple(lits[c] for c in columns), cut)


def _telling(verdicts: Verdicts) -> list[int]:
    """Return columns that still tell the verdicts apart, dropping the last first."""
    columns = list(range(len(next(iter(verdicts)))))
    for column in reversed(columns):
        fewer = [c for c in columns if c != column]
        if _tells_apart(fewer, verdicts):
            columns = fewer
    return columns


def _tells_apart(columns: Sequence[int], verdicts: Verdicts) -> bool:
    seen: dict[Vector, bool] = {}
    for vector, verdict in verdicts.items():
        cut = tuple([vector[c] for c in columns])
        if seen.setdefault(cut, verdict) != verdict:
            return False
    return True


def _tree(gates: Gates, lits: tuple[Lit, ...], verdicts: Verdicts) -> Lit:
    told = set(verdicts.values())
    if len(told) < 2:  # noqa: PLR2004 - a leaf
        return TRUE if told == {True} else FALSE
    column = max(range(len(lits)), key=lambda c: (_settled_by(c, verdicts), -c))
    rest = (*lits[:column], *lits[column + 1 :])
    on, off = (
        _tree(gates, rest, _without(column, verdicts, value=value))
        for value in (True, False)
    )
    lit = lits[column]
    return gates.any_of(
        (gates.all_of((lit, on)), gates.all_of((Lit(-lit), off))),
    )


def _settled_by(column: int, verdicts: Verdicts) -> int:
    """Return how many cases are settled once this condition is known."""
    sides: dict[bool, list[bool]] = {True: [], False: []}
    for vector, verdict in verdicts.items():
        sides[vector[column]].append(verdict)
    return sum(len(side) for side in sides.values() if len(set(side)) == 1)


def _without(column: int, verdicts: Verdicts, *, value: bool) -> dict[Vector, bool]:
    return {
        (*vector[:column], *vector[column + 1 :]): verdict
        for vector, verdict in verdicts.items()
        if vector[column] == value
    }
