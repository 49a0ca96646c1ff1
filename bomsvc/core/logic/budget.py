"""Budgets count conflicts and nodes, never seconds: the same bytes every time."""

from __future__ import annotations

from dataclasses import dataclass


class Unsettled(Exception):  # noqa: N818 - an outcome, not an error
    """The question was not settled within the budget; no answer is given.

    Faces say "not settled within the budget", and a proof reports `not_proven`.
    """

    def __init__(self) -> None:
        super().__init__("not settled within the budget")


@dataclass(frozen=True, slots=True)
class Budget:
    """How much work one question may take.

    Attributes:
        conflicts: Solver conflicts in one call.
        cells: Table cells of one step of a count.
        nodes: Search nodes of one enumeration (repairs, questions).
    """

    conflicts: int = 2_000_000
    cells: int = 1_000_000
    nodes: int = 20_000


USUAL_BUDGET = Budget()
