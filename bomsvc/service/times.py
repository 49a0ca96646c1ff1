"""Times as RFC 3339 text in UTC, one fixed width, so that text sorts as time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

from bomsvc.core.terms.problems import BadInput, Problem

Clock = Callable[[], datetime]
"""Gives the present time, aware of its zone. Tests hand in their own."""


def rfc3339(moment: datetime) -> str:
    """Return `moment` in UTC with six decimals: 2026-11-24T08:15:00.000000Z."""
    assert moment.tzinfo is not None, "a time without a zone"
    text = moment.astimezone(UTC).isoformat(timespec="microseconds")
    return text.removesuffix("+00:00") + "Z"


def moment_of(text: str, *, pointer: str = "") -> datetime:
    """Read an RFC 3339 time with its zone.

    Raises:
        BadInput: The text is no such time, or has no zone.
    """
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is None:
        detail = f"'{text}' is not a time with its zone."
        remedy = "Write it as 2026-11-24T08:15:00Z."
        raise BadInput([Problem(pointer, detail, code="time", remedy=remedy)])
    return moment.astimezone(UTC)
