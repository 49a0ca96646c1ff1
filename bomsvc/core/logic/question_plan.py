"""The order of questions: fewest expected, exactly while small, else greedily.

A situation is a table: one row per case, an answer per question, and what comes
out. Finding the best plan is NP-hard (L. Hyafil and R. Rivest, "Constructing optimal
binary decision trees is NP-complete", Information Processing Letters 5, 1976), so
beyond a budget of situations the plan asks what tells most (entropy).
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import log2

Rows = int
"""A set of cases, a bit each."""


@dataclass(frozen=True, slots=True)
class Situation:
    """`answers[q][row]`: the answer to question `q` in that case.

    `weights`: how likely each case is beside the others; () where equally likely.
    """

    answers: tuple[tuple[Hashable, ...], ...]
    outcomes: tuple[Hashable, ...]
    weights: tuple[int, ...] = ()


class TooMany(Exception):  # noqa: N818 - an outcome: the exact search gave up
    """The exact search met more situations than its budget."""


def questions_left(situation: Situation, *, nodes: int) -> tuple[list[Fraction], bool]:
    """Return, per question, how many are expected after asking it first.

    Args:
        situation: The cases.
        nodes: Situations the exact search may look at.

    Returns:
        The expected numbers in order of the questions, and whether they are the
        least possible (exact) or those of the greedy plan.
    """
    table = _Masks(situation)
    try:
        plan = _Exact(table, nodes)
        return [_after(table, plan, question) for question in table.questions], True
    except TooMany:
        return _greedily_left(table), False


def _after(table: _Masks, plan: _Exact | _Greedy, question: int) -> Fraction:
    parts = table.parts(question, table.all)
    return Fraction(sum(map(plan.total, parts)), table.weight(table.all))


def _greedily_left(table: _Masks) -> list[Fraction]:
    """Return the greedy plan's numbers; beyond the most telling few, in proportion.

    A question that leaves twice the uncertainty is put at twice the questions.
    """
    plan = _Greedy(table)
    unsure = [plan.uncertainty(table.parts(q, table.all)) for q in table.questions]
    order = sorted(table.questions, key=lambda question: (unsure[question], question))
    left = [Fraction(0)] * len(unsure)
    for question in order[:_PLANNED]:
        left[question] = _after(table, plan, question)
    worst = order[:_PLANNED][-1]
    for question in order[_PLANNED:]:
        left[question] = _in_proportion(left[worst], unsure[worst], unsure[question])
    return left


_PLANNED = 6
"""Questions for which the greedy plan is worked out in full."""


def _in_proportion(left: Fraction, unsure: float, more_unsure: float) -> Fraction:
    if unsure <= 0:
        return left + 1
    return left * Fraction(more_unsure) / Fraction(unsure)


class _Masks:
    """The situation as sets of cases: per answer of each question, per outcome."""

    def __init__(self, situation: Situation) -> None:
        self.all: Rows = (1 << len(situation.outcomes)) - 1
        self.questions = range(len(situation.answers))
        self._answers = [tuple(_sets(a).values()) for a in situation.answers]
        outcomes = _sets(situation.outcomes)
        self._same = [outcomes[outcome] for outcome in situation.outcomes]
        self._planes = _planes(situation.weights or (1,) * len(self._same))

    def weight(self, rows: Rows) -> int:
        """Return what the cases weigh together: their number where equally likely."""
        return sum(
            (rows & plane).bit_count() << bit for bit, plane in enumerate(self._planes)
        )

    def parts(self, question: int, rows: Rows) -> list[Rows]:
        """Return the cases by their answer to a question."""
        return [part for same in self._answers[question] if (part := rows & same)]

    def splits(self, rows: Rows) -> list[list[Rows]]:
        """Return the parts of every question that tells some cases apart."""
        found = (self.parts(question, rows) for question in self.questions)
        return [parts for parts in found if len(parts) > 1]

    def settled(self, rows: Rows) -> bool:
        """Return whether all the cases come out the same."""
        return not rows & ~self._same[_first(rows)]

    def outcomes(self, rows: Rows) -> Iterator[int]:
        """Yield what the cases of each outcome weigh."""
        while rows:
            same = rows & self._same[_first(rows)]
            yield self.weight(same)
            rows ^= same


def _sets(values: tuple[Hashable, ...]) -> dict[Hashable, Rows]:
    sets: dict[Hashable, Rows] = {}
    for row, value in enumerate(values):
        sets[value] = sets.get(value, 0) | 1 << row
    return sets


def _first(rows: Rows) -> int:
    return (rows & -rows).bit_length() - 1


def _planes(weights: tuple[int, ...]) -> list[Rows]:
    """Return, per binary digit of the weights, the cases whose weight has it."""
    return [
        sum(1 << row for row, weight in enumerate(weights) if weight >> bit & 1)
        for bit in range(max(weights).bit_length())
    ]


class _Exact:
    """Least total number of questions over the cases of a part, by their weights."""

    def __init__(self, table: _Masks, nodes: int) -> None:
        self._table = table
        self._nodes = nodes
        self._totals: dict[Rows, int] = {}

    def total(self, rows: Rows) -> int:
        if self._table.settled(rows):
            return 0
        known = self._totals.get(rows)
        if known is None:
            known = self._totals[rows] = self._least(rows)
        return known

    def _least(self, rows: Rows) -> int:
        self._nodes -= 1
        if self._nodes < 0:
            raise TooMany
        bounded = sorted(
            (sum(map(self._at_least, parts)), index, parts)
            for index, parts in enumerate(self._table.splits(rows))
        )
        best = _WORST
        for bound, _, parts in bounded:
            if bound >= best:
                break
            best = min(best, self._within(parts, best))
        return self._table.weight(rows) + best

    def _within(self, parts: list[Rows], best: int) -> int:
        """Return the parts' total, or at least `best` when they cannot beat it."""
        bounds = [self._at_least(part) for part in parts]
        total = sum(bounds)
        for part, bound in zip(parts, bounds, strict=True):
            if total >= best:
                break
            total += self.total(part) - bound
        return total

    def _at_least(self, rows: Rows) -> int:
        known = self._totals.get(rows)
        if known is not None:
            return known
        return 0 if self._table.settled(rows) else self._table.weight(rows)


_WORST = 1 << 62


class _Greedy:
    """Total number of questions when the most telling one is always asked next."""

    def __init__(self, table: _Masks) -> None:
        self._table = table
        self._totals: dict[Rows, int] = {}

    def total(self, rows: Rows) -> int:
        if self._table.settled(rows):
            return 0
        known = self._totals.get(rows)
        if known is None:
            parts = min(self._table.splits(rows), key=self.uncertainty)
            known = self._table.weight(rows) + sum(map(self.total, parts))
            self._totals[rows] = known
        return known

    def uncertainty(self, parts: list[Rows]) -> float:
        """Return the parts' remaining entropy, rounded so that order is portable."""
        return round(sum(map(self._entropy, parts)), 9)

    def _entropy(self, rows: Rows) -> float:
        whole = self._table.weight(rows)
        return sum(n * log2(whole / n) for n in self._table.outcomes(rows))
