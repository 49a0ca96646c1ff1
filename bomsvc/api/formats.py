"""Which format a caller wants of a thing that can be had in several."""

from __future__ import annotations

from typing import TypeVar

from bomsvc.api.operation import JSON, Call
from bomsvc.api.pipeline import negotiated
from bomsvc.exports.formats import Format

T = TypeVar("T")


def wanted(call: Call, formats: tuple[Format[T], ...]) -> Format[T] | None:
    """Return the format asked for by suffix or by Accept; None for JSON.

    Raises:
        NotAcceptable: Accept names none that there is.
    """
    if call.suffix:
        return next(f for f in formats if f.suffix == call.suffix)
    media = negotiated(call, (JSON, *(f.media for f in formats)))
    return next((f for f in formats if f.media == media), None)
