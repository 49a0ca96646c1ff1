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
        return f"the number {value.text[:40]}"
    if isinstance(value, str):
        shown = value if len(value) <= _SHOWN else value[:_SHOWN] + "..."
        return f'the text "{shown}"'
    return "a list" if isinstance(value, list) else "an object"


_SHOWN = 60


def wrong_type(value: Tree, due: str, place: Place, reading: Reading) -> None:
    """Report a value of another type than due, and how to write it."""
    says = f"{describe(value)} stands where {due} is due"
    if isinstance(value, bool):
        says += f'; if it is meant as text, put it in quotes: "{str(value).lower()}"'
    reading.report(place, "wrong_type", says)
