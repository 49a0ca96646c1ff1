"""Coded errors: bad input as data, every problem at once.

A `Problem` names the place (a JSON pointer, or a field of a typed-in form), what
is wrong and what would be right. Readers collect problems and raise one
`BadInput` with all of them; faces render it (problem+json, terminal, workbook).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import islice


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with the input.

    Attributes:
        pointer: RFC 6901 JSON pointer of the place; "" is the whole input.
        detail: What is wrong and what would be right, a full sentence.
        code: Stable snake_case word for programs.
        line: Line of the source text, from 1, where a text was read.
        column: Column of the source text, from 1, where a text was read.
        remedy: The nearest known word or the form that would be accepted.
    """

    pointer: str
    detail: str
    code: str = "invalid"
    line: int | None = None
    column: int | None = None
    remedy: str | None = None


MOST_TOLD = 10_000
"""So many problems of one input are told; of others only that there are some."""


def first_told(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return the first `MOST_TOLD` problems, and one that says if there are more.

    Looks at no more problems than needed to know.
    """
    found = tuple(islice(problems, MOST_TOLD + 1))
    if len(found) <= MOST_TOLD:
        return found
    says = "there are more problems than these; put these right first"
    return (*found[:MOST_TOLD], Problem("", says, "more_problems"))


class BadInput(Exception):  # noqa: N818 - the name says what it is
    """The input cannot be used; nothing was changed. Carries every problem found."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(
            "; ".join(f"{p.pointer or '/'}: {p.detail}" for p in self.problems)
        )


class TooLarge(BadInput):
    """The input is over a documented limit (size, depth, count)."""
