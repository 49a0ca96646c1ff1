"""What things weigh: each part, each screw, and the whole engine."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from decimal import Decimal
from itertools import pairwise

from bomsvc.core.catalogue.entities import Part
from bomsvc.core.fasteners.threads import get_thread
from bomsvc.core.logic.builds import Build
from tests.unit.seed.sense.engine import Engine, text_of

BARE_KG = (Decimal(900), Decimal(1300))
"""A diesel has about 75 to 105 kg per litre dry, so one of 12 litres about 900 to
1,300: common practice, no source."""
BESIDE = frozenset({"cooler", "header_tank", "coupling", "mount", "mount_nut"})
BESIDE_SECTIONS = frozenset(
    {"take_off", "mounting", "air_cleaner_group", "charge_air", "raw_water"}
)
"""A maker weighs the engine without radiator, driven machine, mounts and air
cleaner: common practice, no source."""
NOTE_SHARE = Decimal("0.05")
"""How far the usual pump engine may be from what the family's note says."""
STEEL_KG_MM3 = 7.85e-6
"""Density of plain steel, 7.85 g/cm3: from memory."""
HEAD = 1.5
"""Volume of a head in cubes of the diameter: a cylinder 1.5 d wide and d high with
its socket, a hexagon 1.5 d wide and 0.65 d high, are both near it: from memory of
ISO 4762 and ISO 4014."""
SCREW_FACTOR = 1.4
"""How far a screw's mass may be from the cylinder and the head: common practice."""


def parts_without_mass(engine: Engine) -> list[str]:
    """What a person would put on a scale has a mass, and one above nothing."""
    return [
        f"{part.number} {part.name}: no mass"
        for part in engine.catalogue.parts
        if part.mass_kg is None or part.mass_kg <= 0
    ]


def parts_heavier_than_the_block(engine: Engine) -> list[str]:
    blocks = {
        fitment.part
        for fitment in engine.catalogue.fitments
        if fitment.position.code == "block"
    }
    least = min(engine.parts[number].mass_kg or Decimal(0) for number in blocks)
    return [
        f"{part.number} {part.name}: {part.mass_kg} kg, the block {least} kg"
        for part in engine.catalogue.parts
        if part.number not in blocks and (part.mass_kg or 0) >= least
    ]


def bare_kg(engine: Engine, build: Build) -> Decimal:
    """Dry, as a maker weighs an engine."""
    positions = engine.compiled.standing.positions
    return sum(
        (
            fitted.mass_kg
            for fitted in engine.weighed(build)
            if fitted.position not in BESIDE
            and positions[fitted.position].position.section not in BESIDE_SECTIONS
        ),
        Decimal(0),
    )


def builds_of_no_believable_mass(engine: Engine) -> list[str]:
    least, most = BARE_KG
    builds = [*engine.spread, *engine.of_each_choice, *engine.drawn]
    return [
        f"{text_of(build)}: {kg} kg dry, {least} to {most} kg were expected"
        for build in dict.fromkeys(builds)
        if not least <= (kg := bare_kg(engine, build)) <= most
    ]


def note_that_tells_another_mass(engine: Engine) -> list[str]:
    note = engine.catalogue.family.note or ""
    said = re.search(r"about ([\d,]+) kg", note)
    if said is None:
        return ["family.note: no mass is said"]
    told = Decimal(said[1].replace(",", ""))
    weighed = bare_kg(engine, engine.usual[0])
    if abs(weighed - told) > NOTE_SHARE * told:
        return [f"family.note: {told} kg, the usual pump engine has {weighed} kg"]
    return []


def screws_of_no_believable_mass(engine: Engine) -> list[str]:
    return [
        f"{part.number} {part.name}: {part.mass_kg} kg, steel of that size {kg:.3f} kg"
        for part in engine.catalogue.parts
        if (kg := steel_kg(part)) is not None
        and not kg / SCREW_FACTOR <= float(part.mass_kg or 0) <= kg * SCREW_FACTOR
    ]


def steel_kg(part: Part) -> float | None:
    """Shank and head of a screw, or the shank of a stud, as plain steel."""
    if part.screw is not None:
        d = float(get_thread(part.screw.thread).d_mm)
        volume = math.pi / 4 * d**2 * float(part.screw.length_mm) + HEAD * d**3
        return volume * STEEL_KG_MM3
    if part.stud is not None:
        d = float(get_thread(part.stud.nut_thread).d_mm)
        return math.pi / 4 * d**2 * float(part.stud.length_mm) * STEEL_KG_MM3
    return None


def longer_screws_that_weigh_no_more(engine: Engine) -> list[str]:
    return [
        f"{longer.number} {longer.name}: {longer.mass_kg} kg, no more than the "
        f"shorter {shorter.number} with {shorter.mass_kg} kg"
        for shorter, longer in _next_in_length(engine)
        if (longer.mass_kg or 0) <= (shorter.mass_kg or 0)
    ]


def _next_in_length(engine: Engine) -> Iterator[tuple[Part, Part]]:
    alike: dict[tuple[str, str], list[Part]] = {}
    for part in engine.catalogue.parts:
        if part.screw is not None:
            key = (part.screw.standard, part.screw.thread)
            alike.setdefault(key, []).append(part)
    for screws in alike.values():
        by_length = sorted(screws, key=_length_mm)
        for shorter, longer in pairwise(by_length):
            if _length_mm(shorter) < _length_mm(longer):
                yield shorter, longer


def _length_mm(part: Part) -> Decimal:
    assert part.screw is not None
    return part.screw.length_mm
