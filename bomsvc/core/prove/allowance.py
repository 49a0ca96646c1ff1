"""A proof or a comparison made while somebody waits: given up where it takes long.

What a proof says never depends on how long it took. Given up means no report at all;
whoever asked then proves with the whole budget, where nobody waits.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from bomsvc.core.logic.budget import Budget, Unsettled
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.prove.findings import Finding, Report
from bomsvc.core.prove.ground import Watch
from bomsvc.core.prove.proof import prove

CONFLICTS_OF_ONE = 2_000
"""Conflicts of one question that can be waited for; some tens of milliseconds."""

IsSpent = Callable[[], bool]
Made = TypeVar("Made")


class TakesLong(Exception):  # noqa: N818 - an outcome, not an error
    """The proof would take longer than somebody waits."""


class Allowance(Budget):
    """A budget whose questions are small, and which is over when time is.

    Its conflicts are read before every question, so there time is looked at.
    """

    __slots__ = ("_is_spent", "_of_one")
    _is_spent: IsSpent
    _of_one: int

    def __init__(self, budget: Budget, is_spent: IsSpent) -> None:
        object.__setattr__(self, "cells", budget.cells)
        object.__setattr__(self, "nodes", budget.nodes)
        object.__setattr__(self, "_is_spent", is_spent)
        of_one = min(budget.conflicts, CONFLICTS_OF_ONE)
        object.__setattr__(self, "_of_one", of_one)

    @property
    def conflicts(self) -> int:
        """Conflicts of one question.

        Raises:
            TakesLong: Time is over.
        """
        if self._is_spent():
            raise TakesLong
        return self._of_one


def settle_later(budget: Budget) -> None:
    """Say nothing of what was not settled while somebody waits.

    Raises:
        TakesLong: It might be settled with the whole budget.
    """
    if isinstance(budget, Allowance):
        raise TakesLong


def made_at_once(make: Callable[[Budget, Watch], Made], *, budget: Budget,
                 is_spent: IsSpent) -> Made | None:  # fmt: skip
    """Return what is made, the same as with time to spare; None where that takes long.

    Args:
        make: Makes it with a budget; asks `settle_later` where a question is not
            settled, and tells how far it is.
        budget: What it may take where nobody waits.
        is_spent: Tells whether the time for waiting is over.
    """

    def watch(done: int, total: int) -> None:
        del done, total
        if is_spent():
            raise TakesLong

    try:
        return make(Allowance(budget, is_spent), watch)
    except (TakesLong, Unsettled):
        return None


def proven_at_once(
    compiled: Compiled, *, budget: Budget, is_spent: IsSpent
) -> Report | None:
    """Return the report, the same as with time to spare; None where that takes long.

    Args:
        compiled: The compiled revision.
        budget: What the proof may take where nobody waits.
        is_spent: Tells whether the time for waiting is over.
    """

    def watch(done: int, total: int) -> None:
        del done, total
        if is_spent():
            raise TakesLong

    def heed(finding: Finding) -> None:
        if finding.code == "not_proven" and more:
            raise TakesLong

    # What is not settled here might be with the whole budget.
    more = budget.conflicts > CONFLICTS_OF_ONE
    try:
        allowance = Allowance(budget, is_spent)
        report = prove(compiled, budget=allowance, watch=watch, heed=heed)
    except TakesLong:
        return None
    return None if more and not _names_the_usual(report) else report


def _names_the_usual(report: Report) -> bool:
    codes = {finding.code for finding in report.findings}
    return report.usual is not None or "no_valid_build" in codes
