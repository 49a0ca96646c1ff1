"""The forms a field's value may take: how it is read, written and described.

One table (`shape`) says which field has which form. Reading, the canonical form,
the JSON Schema and the table of defaults all follow from it, so they agree.
Reading is forgiving in one thing: where text is due, a number is taken exactly as
written. `read` gives a stand-in where it reports a problem.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Any

from bomsvc.core.catalogue.reading import Place, Reading
from bomsvc.core.terms.numbers import Number, Tree

Schema = dict[str, Any]


class Form(ABC):
    """A form of value. `says` describes it to people."""

    @abstractmethod
    def read(self, value: Tree, place: Place, reading: Reading) -> Any:  # noqa: ANN401
        """Return the value in its own type, or report and return a stand-in."""

    @abstractmethod
    def stand_in(self) -> Any:  # noqa: ANN401
        """Return a value for the rest of the reading where none could be read."""

    @abstractmethod
    def schema(self) -> Schema:
        """Return the JSON Schema of the form."""

    @property
    @abstractmethod
    def says(self) -> str:
        """What stands here, in a few words."""

    def write(self, value: Any) -> Tree:  # noqa: ANN401
        """Return the canonical tree of a value that was read."""
        tree: Tree = value
        return tree


def plain_text(value: Tree) -> str | None:
    """Return text, or a number exactly as written; None for anything else."""
    if isinstance(value, str):
        return value
    if isinstance(value, Number):
        return value.text
    return None


def describe(value: Tree) -> str:
    """Return what a value is, for sentences: "a list", "the number 5"."""
    if value is None:
        return "nothing (null)"
    if isinstance(value, bool):
        return f"the truth value {str(value).lower()}"
    if isinstance(value, Number):
        return f"the number {shortened(value.text)}"
    if isinstance(value, str):
        return f'the text "{shortened(value)}"'
    return "a list" if isinstance(value, list) else "an object"


def shortened(text: str) -> str:
    """Return text as a sentence can show it: not long, nothing invisible in it."""
    shown = text if len(text) <= _SHOWN else f"{text[:_SHOWN]}..."
    return "".join(
        char if char.isprintable() else f"\\u{ord(char):04x}" for char in shown
    )


_SHOWN = 50


def wrong_type(
    value: Tree, due: str, place: Place, reading: Reading, *, advice: str = ""
) -> None:
    """Report a value of another type than due, and how to write it."""
    says = f"{describe(value)} stands where {due} is due"
    reading.report(place, "wrong_type", says + advice)


def not_text(value: Tree, due: str, place: Place, reading: Reading) -> None:
    """Report a value that is no text, and how to write it where it could be one."""
    advice = ""
    if isinstance(value, bool):
        advice = f'; if text is meant, put it in quotes: "{str(value).lower()}"'
    wrong_type(value, due, place, reading, advice=advice)


def not_number(value: Tree, due: str, place: Place, reading: Reading) -> None:
    """Report a value that is no number, and how to write it where it could be one."""
    advice = "; write it without quotes" if isinstance(value, str) else ""
    wrong_type(value, due, place, reading, advice=advice)


def with_article(words: str) -> str:
    """Return words with "a" or "an" before them."""
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"
