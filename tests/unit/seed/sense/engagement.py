"""Screws in their holes: engaged enough, and with room left at both ends."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from tests.unit.seed.sense.engine import Case, Engine

THIN_MM = Fraction("0.25")
"""A margin below this is a warning of the program's own."""


def screws_that_hold_too_little(engine: Engine) -> list[str]:
    return list(dict.fromkeys(_too_little(engine)))


def _too_little(engine: Engine) -> Iterator[str]:
    for case in engine.cases:
        sized = case.sized
        if sized.chosen is None or sized.failure is not None:
            yield f"{case.place}: no screw fits, clamped {float(sized.clamp_mm[0])} mm"
        elif sized.need is not None and sized.engagement_mm is not None:
            least = sized.engagement_mm[0]
            if least < sized.need.mm:
                yield (
                    f"{case.place}: {sized.chosen.designation} engages "
                    f"{float(least)} mm, needed {float(sized.need.mm)} mm"
                )


def thin_margins(engine: Engine) -> list[str]:
    return [
        f"{case.place}: {case.sized.chosen.designation} has {float(least)} mm to spare"
        for case in dict.fromkeys(engine.cases)
        if case.sized.chosen is not None
        and (least := least_margin_mm(case)) is not None
        and least < THIN_MM
    ]


def least_margin_mm(case: Case) -> Fraction | None:
    margins = case.sized.margins
    found = [] if margins is None else [margins.least()]
    if case.sized.stud is not None:
        found.append(case.sized.stud.free_margin_mm)
    return min(found, default=None)
