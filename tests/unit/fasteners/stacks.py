"""Stacks that the tests of the sizing share."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    Layer,
    Screw,
    Wanted,
)

F = Fraction
COVER = Layer("cover", F(34), F("0.2"), F("0.2"))
GASKET = Layer("gasket", F("0.8"), F("0.1"), F("0.1"), soft=True)
HOLE = BlindHole(
    "M10x1.5",
    "grey_iron",
    threaded_mm=F(24),
    entry_mm=F(1),
    entry_plus=F("0.25"),
    entry_minus=F("0.25"),
)
SOCKET = Wanted(("ISO 4762",), "M10", "10.9")
STORY_H = GroupStack("h", HOLE, (COVER, GASKET), SOCKET)


def screw(part: str, mm: int, standard: str = "ISO 4762", **rest: Any) -> Screw:
    return Screw(part, standard, "M10", F(mm), "10.9", **rest)
