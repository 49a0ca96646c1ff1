"""The order of questions: fewest expected, exactly while small, else greedily.

A situation is a table: one row per case, an answer per question, and what comes
out. Finding the best plan is NP-hard (L. Hyafil and R. Rivest, "Constructing optimal
binary decision trees is NP-complete", Information Processing Letters 5, 1976), so
beyond a budget of situations the plan asks what tells most (entropy).
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import log2

Rows = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Situation:
    """`answers[q][row]`: the answer to question `q` in that case; equally likely."""

    answers: tuple[tuple[Hashable, ...], ...]
    outcomes: tuple[Hashable, ...]


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
    try:
        return _left(situation, _Exact(situation, nodes)), True
    except TooMany:
        return _greedily_left(situation), False


def _greedily_left(situation: Situation) -> list[Fraction]:
    """Return the greedy plan's numbers; beyond the most telling few, in proportion.

    A question that leaves twice the uncertainty is put at twice the questions.
    """
    plan = _Greedy(situation)
    rows = tuple(range(len(situation.outcomes)))
    parts = [_parts(answers, rows) for answers in situation.answers]
    unsure = [plan.uncertainty(p) for p in parts]
    order = sorted(range(len(parts)), key=lambda q: (unsure[q], q))
    left = [Fraction(0)] * len(parts)
    for question in order[:_PLANNED]:
        total = sum(plan.total(part) for part in parts[question])
        left[question] = Fraction(total, len(rows))
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


def _left(situation: Situation, plan: _Exact) -> list[Fraction]:
    rows = tuple(range(len(situation.outcomes)))
    return [
        Fraction(sum(plan.total(p) for p in _parts(answers, rows)), len(rows))
        for answers in situation.answers
    ]


def _parts(answers: Sequence[Hashable], rows: Rows) -> list[Rows]:
    parts: dict[Hashable, list[int]] = {}
    for row in rows:
        parts.setdefault(answers[row], []).append(row)
    return [tuple(part) for part in parts.values()]


class _Exact:
    """Least total number of questions over the rows of a part, memoised."""

    def __init__(self, situation: Situation, nodes: int) -> None:
        self._situation = situation
        self._nodes = nodes
        self._totals: dict[Rows, int] = {}

    def total(self, rows: Rows) -> int:
        if _settled(self._situation, rows):
            return 0
        known = self._totals.get(rows)
        if known is None:
            known = self._totals[rows] = self._least(rows)
        return known

    def _least(self, rows: Rows) -> int:
        self._nodes -= 1
        if self._nodes < 0:
            raise TooMany
        splits = [p for a in self._situation.answers if len(p := _parts(a, rows)) > 1]
        bounded = sorted((sum(map(self._at_least, p)), i) for i, p in enumerate(splits))
        best = _WORST
        for bound, index in bounded:
            if bound >= best:
                break
            best = min(best, self._within(splits[index], best))
        return len(rows) + best

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
        return 0 if _settled(self._situation, rows) else len(rows)


_WORST = 1 << 62


class _Greedy:
    """Total number of questions when the most telling one is always asked next."""

    def __init__(self, situation: Situation) -> None:
        self._situation = situation
        self._totals: dict[Rows, int] = {}

    def total(self, rows: Rows) -> int:
        if _settled(self._situation, rows):
            return 0
        known = self._totals.get(rows)
        if known is None:
            parts = self._most_telling(rows)
            known = len(rows) + sum(self.total(part) for part in parts)
            self._totals[rows] = known
        return known

    def _most_telling(self, rows: Rows) -> list[Rows]:
        splits = [p for a in self._situation.answers if len(p := _parts(a, rows)) > 1]
        return min(splits, key=self.uncertainty)

    def uncertainty(self, parts: list[Rows]) -> float:
        """Return the rows' remaining entropy, rounded so that order is portable."""
        return round(sum(map(self._entropy, parts)), 9)

    def _entropy(self, rows: Rows) -> float:
        tally: dict[Hashable, int] = {}
        for row in rows:
            outcome = self._situation.outcomes[row]
            tally[outcome] = tally.get(outcome, 0) + 1
        whole = len(rows)
        return sum(count * log2(whole / count) for count in tally.values())


def _settled(situation: Situation, rows: Rows) -> bool:
    first = situation.outcomes[rows[0]]
    return all(situation.outcomes[row] == first for row in rows)
