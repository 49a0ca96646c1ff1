"""Changes of a reply in words for paper."""

from __future__ import annotations

from bomsvc.exports.changes import Record

KINDS = ("position", "joint", "job")
"""What a place is, as the reply names it."""
ROWS_MOST = 5_000
"""Rows of one sheet; a list longer than that nobody works down."""


def kind_of(place: Record) -> str:
    """Return what a place is: a position, a joint or a job."""
    return next(kind for kind in KINDS if kind in place)


def typed(build: Record | None) -> str:
    """Return a build as it is typed as answers; nothing for none."""
    if build is None:
        return ""
    return " ".join(
        f"{key}={','.join(value) if isinstance(value, list) else value}"
        for key, value in build.items()
    )


def whole(record: Record) -> str:
    """Say whether the condition names all builds concerned."""
    if record.get("settled") is False:
        return "not settled"
    return "all of them" if record["complete"] else "and others"
