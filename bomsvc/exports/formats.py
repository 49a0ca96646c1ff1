"""What a format of an outgoing file is: suffix, media type, and who writes it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Format(Generic[T]):
    """A format that a thing can be had in; the same thing gives the same bytes."""

    suffix: str
    media: str
    render: Callable[[T], bytes]
