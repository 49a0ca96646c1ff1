"""Files that commands write, in the format that their name asks for."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from bomsvc.core.terms.problems import BadInput, Problem

if TYPE_CHECKING:
    from bomsvc.exports.formats import Format

T = TypeVar("T")


def format_of(out: Path, formats: tuple[Format[T], ...], *, what: str) -> Format[T]:
    """Return the format that a file's suffix asks for.

    Args:
        out: The file's path.
        formats: What it may be written as.
        what: What is to be written, as in "A list".

    Raises:
        BadInput: There is no such format.
    """
    for one in formats:
        if one.suffix == out.suffix.lower():
            return one
    known = ", ".join(one.suffix for one in formats)
    detail = f"{what} cannot be written as '{out.suffix or out.name}'."
    raise BadInput([Problem(str(out), detail, "file_kind", remedy=known)])
