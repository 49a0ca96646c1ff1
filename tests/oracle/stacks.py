"""Random joints to size, a few groups each, some of which nothing can fit."""

from __future__ import annotations

import random
from fractions import Fraction
from typing import get_args

from tests.oracle.screw_tables import RANGES, SERIES
from tests.oracle.screws import Hole, Material, NutSide, Screw, Stack

_STANDARDS = ("ISO 4762", "ISO 4017", "ISO 4014")
_CLASSES = ("8.8", "10.9", "12.9")
_LONGEST = 80


def _tenths(rng: random.Random, low: int, high: int) -> Fraction:
    return Fraction(rng.randint(low, high), 10)


def random_shelf(rng: random.Random) -> list[Screw]:
    """Some screws of the catalogue, in document order."""
    shelf: list[Screw] = []
    for standard in _STANDARDS:
        for thread in ("M6", "M8", "M10", "M12"):
            low, high = RANGES[standard, thread]
            lengths = [s for s in SERIES if low <= s <= min(high, _LONGEST)]
            for length in rng.sample(lengths, k=rng.randint(0, len(lengths))):
                shelf.append(_listed(rng, standard, thread, length, len(shelf)))
    return shelf


def _listed(
    rng: random.Random, standard: str, thread: str, length: int, index: int
) -> Screw:
    full = standard != "ISO 4017" and rng.random() < 0.1
    shorter = Fraction(length, 2) if not full and rng.random() < 0.1 else None
    return Screw(
        f"S{rng.randint(0, 99):02}.{index}",
        standard,
        thread,
        length,
        rng.choice(_CLASSES[:2]),
        full,
        shorter if standard != "ISO 4017" else None,
        rng.random() < 0.2,
    )


def _hole(rng: random.Random, thread: str) -> Hole:
    size = int(thread[1:])
    through = rng.random() < 0.25
    drilled = rng.random() < 0.3
    entry = rng.choice((Fraction(0), Fraction(1), Fraction(1, 2)))
    return Hole(
        thread,
        rng.choice(get_args(Material)),
        Fraction(rng.choice((180, 260, 420))) if rng.random() < 0.3 else None,
        None if through or drilled else _tenths(rng, 15 * size, 40 * size),
        _tenths(rng, 25 * size, 55 * size) if drilled and not through else None,
        entry,
        rng.choice((Fraction(0), Fraction(1, 4))) if entry else Fraction(0),
        _tenths(rng, 12 * size, 40 * size) if through else None,
        Fraction(1, 5) if through else Fraction(0),
        rng.choice((Fraction(0), Fraction(1))) if through else Fraction(0),
    )


def _into(rng: random.Random, thread: str) -> Hole | NutSide:
    if rng.random() > 0.2:
        return _hole(rng, thread)
    height = Fraction(int(thread[1:])) * Fraction(4, 5)
    tolerance = rng.choice((Fraction(0), Fraction(1, 5)))
    return NutSide(height - tolerance, height + tolerance)


def random_stack(rng: random.Random, group: str, thread: str, shelf: list[Screw]
                 ) -> Stack:  # fmt: skip
    """One group of holes."""
    clamp = _tenths(rng, 50, 450)
    property_class = rng.choice(_CLASSES[: rng.choice((1, 2, 3))])
    alike = [s for s in shelf if s.thread == thread]
    stated = rng.choice(alike) if alike and rng.random() < 0.15 else None
    return Stack(
        group,
        clamp - rng.choice((Fraction(0), Fraction(1, 10), Fraction(1, 3))),
        clamp + rng.choice((Fraction(0), Fraction(1, 10), Fraction(3, 10))),
        _into(rng, thread),
        tuple(rng.sample(_STANDARDS, k=rng.randint(1, 3))),
        thread,
        property_class,
        _tenths(rng, 50, 200) if rng.random() < 0.2 else None,
        _tenths(rng, 20, 150) if rng.random() < 0.4 else None,
        stated,
    )


def random_joint(rng: random.Random) -> tuple[list[Stack], list[Screw]]:
    """A joint's groups, mostly of one thread, and the screws on the shelf."""
    shelf = random_shelf(rng)
    thread = rng.choice(("M6", "M8", "M10", "M12"))
    stacks = []
    for index in range(rng.randint(1, 4)):
        own = thread if rng.random() < 0.85 else rng.choice(("M6", "M8"))
        stacks.append(random_stack(rng, "abcd"[index], own, shelf))
    return stacks, shelf
