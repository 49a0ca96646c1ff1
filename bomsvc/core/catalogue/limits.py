"""How large a document may be."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits of a document; past them it is refused with the limit named.

    Attributes:
        bytes: Of the text, and of what `like` spreads out to.
        options: In the list `options`.
        fitments: In the list `fitments`.
        nesting: Of objects and lists in one another.
    """

    bytes: int = 64 * 2**20
    options: int = 5_000
    fitments: int = 200_000
    nesting: int = 64


MAX_MEMBERS = 200
"""Most members a series may have. Our choice: a bank of valves or studs of the
largest engines in view stays well below it."""
