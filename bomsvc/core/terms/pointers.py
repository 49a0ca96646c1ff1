"""JSON pointers (RFC 6901): how a problem names its place in a document."""

from __future__ import annotations


def join(pointer: str, *parts: str | int) -> str:
    """Return `pointer` lengthened by member names and list indexes.

    Args:
        pointer: An RFC 6901 pointer; "" is the whole document.
        parts: Member names (any text) or indexes from 0, outermost first.
    """
    return pointer + "".join(f"/{_escaped(str(part))}" for part in parts)


def split(pointer: str) -> tuple[str, ...]:
    """Return the names along `pointer`, outermost first, escapes undone."""
    return tuple(
        part.replace("~1", "/").replace("~0", "~") for part in pointer.split("/")[1:]
    )


def _escaped(part: str) -> str:
    return part.replace("~", "~0").replace("/", "~1")
