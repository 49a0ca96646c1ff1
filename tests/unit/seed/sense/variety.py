"""Enough of everything that real families have, to show what the program does."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from bomsvc.core.catalogue.entities import Catalogue
from bomsvc.core.logic.serials import SERIAL
from tests.unit.seed.sense.engine import Engine

STEP_MM = Fraction(1, 1000)
"""A micrometer reads thousandths: bands may leave no more between."""


@dataclass(frozen=True, slots=True)
class Least:
    """How many of something there must be."""

    what: str
    least: int
    count: Callable[[Engine], int]


def joints_of_several_lengths(engine: Engine) -> set[str]:
    """Joints in one of whose groups an option changes the screw's length."""
    lengths: dict[str, set[Fraction]] = {}
    for case in engine.cases:
        if case.sized.chosen is not None:
            lengths.setdefault(case.place, set()).add(case.sized.chosen.length_mm)
    return {place.split(".")[0] for place, found in lengths.items() if len(found) > 1}


def _serial_cuts(engine: Engine) -> int:
    return len(engine.compiled.options[SERIAL].choices) - 1


def _in_parts(field: str) -> Callable[[Engine], int]:
    return lambda engine: sum(bool(getattr(p, field)) for p in engine.catalogue.parts)


def _alternates(engine: Engine) -> int:
    return len({f.part for f in engine.catalogue.fitments if f.rank > 1})


LEAST = (
    Least("serial prefixes", 2, lambda e: len(e.catalogue.family.prefixes)),
    Least("serial breakpoints", 6, _serial_cuts),
    Least("joints of several lengths", 3, lambda e: len(joints_of_several_lengths(e))),
    Least("alternates", 5, _alternates),
    Least("parts that include others", 3, _in_parts("includes")),
    Least("parts sold in sets", 3, _in_parts("sold_as")),
    Least("parts kept matched", 3, _in_parts("keep_matched")),
    Least("parts with a side", 3, _in_parts("hand")),
)


def too_little_variety(engine: Engine) -> list[str]:
    return [
        f"{one.what}: {found} of at least {one.least}"
        for one in LEAST
        if (found := one.count(engine)) < one.least
    ]


def bands_that_leave_gaps(engine: Engine) -> list[str]:
    """Whatever is measured falls into one band, and into no two."""
    return list(_gaps(engine))


def _gaps(engine: Engine) -> Iterator[str]:
    for option in engine.catalogue.options:
        if option.known != "measured":
            continue
        bands = [choice.band_mm for choice in option.choices if choice.band_mm]
        if len(bands) < len(option.choices):
            yield f"{option.code}: a choice has no band"
        for (_, upper), (lower, _) in pairwise(sorted(bands)):
            if lower < upper:
                yield f"{option.code}: the bands overlap from {lower} to {upper} mm"
            elif Fraction(lower - upper) > STEP_MM:
                yield f"{option.code}: nothing between {upper} and {lower} mm"


# The size that the family was to have.
SIZE: tuple[Least, ...] = (
    Least("sections", 45, lambda e: len(e.catalogue.sections)),
    Least("positions", 200, lambda e: len(e.catalogue.positions)),
    Least("parts", 450, lambda e: len(e.catalogue.parts)),
    Least("fitments", 500, lambda e: len(e.catalogue.fitments)),
    Least("joints", 40, lambda e: len(e.catalogue.joints)),
    Least("holes as written", 350, lambda e: holes_as_written(e.catalogue)),
    Least("steps", 90, lambda e: len(e.catalogue.steps)),
    Least("jobs", 45, lambda e: len(e.catalogue.jobs)),
)


def holes_as_written(catalogue: Catalogue) -> int:
    """Holes with coordinates, a joint of a series counted once."""
    return sum(
        hole.x is not None and hole.y is not None
        for joint in catalogue.joints
        for group in joint.groups
        for hole in group.holes
    )


def too_small(engine: Engine) -> list[str]:
    return [
        f"{one.what}: {found} of at least {one.least}"
        for one in SIZE
        if (found := one.count(engine)) < one.least
    ]
