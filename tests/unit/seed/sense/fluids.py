"""Oil and coolant: as much as the engine holds, and filled once."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from itertools import pairwise

from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.standing import Key
from tests.unit.seed.sense.engine import Engine, text_of

OIL_PER_LITRE = (Decimal("1.5"), Decimal("3.5"))
"""Litres of oil per litre of displacement of an industrial diesel: common
practice, no source; less runs hot on a slope, more does not fit under a block."""
COOLANT_PER_LITRE = (Decimal("1.5"), Decimal(5))
"""With its cooler: common practice, no source."""
DENSITY = (Decimal("0.8"), Decimal("1.2"))
"""Kilograms per litre of oils and of water with antifreeze: from memory."""
BESIDE_THE_FILL = Decimal("1.15")
"""Filters and cooler that were emptied take about a tenth more: common practice."""
FILLS = {"refill_oil": OIL_PER_LITRE, "refill_coolant": COOLANT_PER_LITRE}


def displacement_l(engine: Engine) -> Decimal:
    said = re.search(r"of ([\d.]+) litres", engine.catalogue.family.note or "")
    assert said is not None
    return Decimal(said[1])


def filled_l(engine: Engine, build: Build, step: Key) -> Decimal:
    """Litres that the filling step takes on this build."""
    uses = engine.compiled.standing.steps[step].uses
    litres = [
        use.use.qty
        for use in uses
        if engine.parts[use.use.part].unit == "LTR" and build.truth(use.applies)
    ]
    return sum(litres, Decimal(0))


def fills_of_unlikely_size(engine: Engine) -> list[str]:
    return list(dict.fromkeys(_unlikely(engine)))


def _unlikely(engine: Engine) -> Iterator[str]:
    displaced = displacement_l(engine)
    for build in dict.fromkeys([*engine.spread, *engine.of_each_choice]):
        for step, (least, most) in FILLS.items():
            litres = filled_l(engine, build, step)
            if not least * displaced <= litres <= most * displaced:
                yield f"{step}: {litres} l in {displaced} l ({text_of(build)})"


def wells_that_hold_less_than_smaller_ones(engine: Engine) -> list[str]:
    """Of one make of sump the heavier has the bigger well, so it takes more oil."""
    wells: dict[str, dict[str, tuple[Decimal, Decimal]]] = {}
    for build in [*engine.spread, *engine.of_each_choice]:
        (pan,) = engine.fitted_at(build, "pan")
        (make,) = build.choices("pan")
        litres = filled_l(engine, build, "refill_oil")
        wells.setdefault(make, {})[pan.part.number] = (pan.mass_kg, litres)
    complaints = []
    for made in wells.values():
        by_mass = sorted((kg, litres, number) for number, (kg, litres) in made.items())
        for (_, less, one), (_, more, two) in pairwise(by_mass):
            if more <= less:
                complaints.append(
                    f"{two}: heavier than {one}, yet {more} l to {less} l"
                )
    return complaints


def fills_that_are_counted_twice(engine: Engine) -> list[str]:
    """However many jobs are done at once, the engine is filled once."""
    return [text for build in engine.usual[-2:] for text in _twice(engine, build)]


def _twice(engine: Engine, build: Build) -> Iterator[str]:
    found = engine.lists(build, jobs=engine.menu(build))
    due: dict[str, Decimal] = {}
    for step in FILLS:
        for use in engine.compiled.standing.steps[step].uses:
            if build.truth(use.applies):
                due[use.use.part] = due.get(use.use.part, Decimal(0)) + use.use.qty
    for number, litres in due.items():
        listed = sum((x.qty for x in found.lines if x.part == number), Decimal(0))
        if not litres <= listed <= BESIDE_THE_FILL * litres:
            yield f"{number}: {listed} listed, {litres} fill it ({text_of(build)})"


def fluids_of_unlikely_density(engine: Engine) -> list[str]:
    least, most = DENSITY
    return [
        f"{part.number} {part.name}: {part.mass_kg} kg a litre"
        for part in engine.catalogue.parts
        if part.kind == "fluid"
        and part.unit == "LTR"
        and not least <= (part.mass_kg or 0) <= most
    ]
