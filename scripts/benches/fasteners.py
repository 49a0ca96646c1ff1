"""Screws: 5,000 hole groups with four combinations each."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from bomsvc.core.fasteners import size_joint
from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    Layer,
    Screw,
    Shelf,
    Wanted,
)
from scripts.benches.figures import Figure, met, timed

GROUPS, COMBINATIONS, PER_JOINT = 5_000, 4, 4
LENGTHS = (20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100)


def figures() -> Iterator[Figure]:
    """Yield the time for every group of a big catalogue."""
    shelf = Shelf(
        [
            Screw(f"S{d}.{n}", "ISO 4762", f"M{d}", Fraction(n), "10.9")
            for d in (6, 8, 10, 12)
            for n in LENGTHS
        ]
    )
    joints = [
        [_group(joint, place, combination, shelf) for place in range(PER_JOINT)]
        for joint in range(GROUPS // PER_JOINT)
        for combination in range(COMBINATIONS)
    ]
    found: list[object] = []
    took = timed(lambda: found.extend(size_joint(groups) for groups in joints))
    yield Figure(
        "issue 2",
        f"{GROUPS:,} hole groups x {COMBINATIONS} combinations sized",
        f"{took:.2f} s",
        "<= 5 s",
        verdict=met(took <= 5),
    )


def _group(joint: int, place: int, combination: int, shelf: Shelf) -> GroupStack:
    size = (6, 8, 10, 12)[joint % 4]
    thick = Fraction(10 + joint % 17 + 3 * place) + Fraction(combination * 5, 2)
    layer = Layer("cover", thick, Fraction(1, 5), Fraction(1, 5))
    gasket = Layer(
        "gasket", Fraction(4, 5), Fraction(1, 10), Fraction(1, 10), soft=True
    )
    hole = BlindHole(f"M{size}", "grey_iron", Fraction(3 * size), entry_mm=Fraction(1))
    return GroupStack(
        f"g{place}",
        hole,
        (layer, gasket),
        Wanted(("ISO 4762",), f"M{size}", "10.9"),
        hole_count=4,
        shelf=shelf,
    )
