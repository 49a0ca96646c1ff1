"""The words a condition may use, and errors that underline the spot."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

_WINDOW = 72
"""Widest excerpt of a condition that an error shows."""


@dataclass(frozen=True, slots=True)
class OptionWords:
    """An option as conditions see it: its choices in order, and its series."""

    choices: tuple[str, ...]
    each: str | None = None
    known: frozenset[str] = field(init=False, repr=False, compare=False)
    """The choices, for looking them up."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "known", frozenset(self.choices))


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The options, and the series with their numbers of members, of one family."""

    options: Mapping[str, OptionWords]
    series: Mapping[str, int] = field(default_factory=dict)
    codes: tuple[str, ...] = field(init=False)
    """The options' codes, in document order."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "codes", tuple(self.options))


class ConditionError(Exception):
    """A condition cannot be read; the text of the error underlines the spot.

    Attributes:
        message: What is wrong and what would be right.
        start: Index of the first character concerned.
        end: Index after the last one.
        remedy: The nearest known word, where there is one.
    """

    def __init__(
        self,
        message: str,
        start: int,
        end: int,
        *,
        text: str = "",
        remedy: str | None = None,
    ) -> None:
        self.message = message
        self.start = start
        self.end = max(end, start + 1)
        self.text = text
        self.remedy = remedy
        super().__init__(message)

    def __str__(self) -> str:
        excerpt, start = _excerpt(self.text, self.start)
        carets = min(self.end - self.start, max(1, len(excerpt) - start))
        return f"{self.message}\n    {excerpt}\n    {' ' * start}{'^' * carets}"


def _excerpt(text: str, start: int) -> tuple[str, int]:
    """The part of `text` around `start` on one line, and where `start` is in it."""
    line = "".join(" " if char.isspace() else char for char in text)
    first = 0 if len(line) <= _WINDOW else max(0, start - _WINDOW // 2)
    excerpt = line[first : first + _WINDOW]
    before = "... " if first else ""
    after = " ..." if first + _WINDOW < len(line) else ""
    return before + excerpt + after, start - first + len(before)
