"""The demo's masses are those of steel and iron, and of a diesel of its size."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

import pytest

from tests.unit.seed.sense import masses
from tests.unit.seed.sense.engine import Engine
from tests.unit.seed.sense.planting import Planted, about, altered


def test_every_part_has_a_mass(sense: Engine) -> None:
    assert masses.parts_without_mass(sense) == []


@pytest.mark.parametrize("mass_kg", [None, Decimal(0)])
def test_a_part_without_mass_is_found(sense: Engine, mass_kg: Decimal | None) -> None:
    light = altered(sense, "parts", "W20.6010", mass_kg=mass_kg)
    assert about(masses.parts_without_mass(light), "W20.6010")


def test_nothing_is_heavier_than_the_block(sense: Engine) -> None:
    assert masses.parts_heavier_than_the_block(sense) == []


def test_a_crankshaft_heavier_than_the_block_is_found(sense: Engine) -> None:
    heavy = altered(sense, "parts", "W20.6001", mass_kg=Decimal(290))
    assert about(masses.parts_heavier_than_the_block(heavy), "W20.6001")


def test_every_build_weighs_what_a_diesel_of_twelve_litres_weighs(
    sense: Engine,
) -> None:
    assert masses.builds_of_no_believable_mass(sense) == []


@pytest.mark.parametrize("block_kg", [20, 560])
def test_a_build_of_unlikely_mass_is_found(sense: Engine, block_kg: int) -> None:
    odd = altered(sense, "parts", "W10.1002", mass_kg=Decimal(block_kg))
    assert about(masses.builds_of_no_believable_mass(odd), "pump")


def test_the_note_tells_what_the_usual_engine_weighs(sense: Engine) -> None:
    assert masses.note_that_tells_another_mass(sense) == []


def test_the_note_tells_what_the_usual_engine_weighs_with_all_it_carries(
    sense: Engine,
) -> None:
    """Whoever sends a hoist is told what hangs on it, not only what a maker weighs."""
    told = re.findall(r"about ([\d,]+) kg", sense.catalogue.family.note or "")
    bare, dressed = (Decimal(kg.replace(",", "")) for kg in told)
    weighed = sense.mass_kg(sense.usual[0])
    assert bare < dressed
    assert abs(weighed - dressed) <= masses.NOTE_SHARE * dressed


@pytest.mark.parametrize("note", ["An engine of about 900 kg.", "An engine."])
def test_a_note_that_tells_another_mass_is_found(sense: Engine, note: str) -> None:
    family = replace(sense.catalogue.family, note=note)
    told = Planted(replace(sense.catalogue, family=family))
    assert about(masses.note_that_tells_another_mass(told), "family.note")


def test_screws_weigh_what_their_size_of_steel_weighs(sense: Engine) -> None:
    assert masses.screws_of_no_believable_mass(sense) == []


@pytest.mark.parametrize("number", ["W80.1690", "W82.1101"])
@pytest.mark.parametrize("factor", ["0.5", "2"])
def test_a_screw_or_stud_of_unlikely_mass_is_found(
    sense: Engine, number: str, factor: str
) -> None:
    mass_kg = sense.parts[number].mass_kg
    assert mass_kg is not None
    odd = altered(sense, "parts", number, mass_kg=mass_kg * Decimal(factor))
    assert about(masses.screws_of_no_believable_mass(odd), number)


def test_a_longer_screw_weighs_more(sense: Engine) -> None:
    assert masses.longer_screws_that_weigh_no_more(sense) == []


def test_a_longer_screw_that_weighs_no_more_is_found(sense: Engine) -> None:
    shorter = sense.parts["W80.0840"].mass_kg
    odd = altered(sense, "parts", "W80.0850", mass_kg=shorter)
    assert about(masses.longer_screws_that_weigh_no_more(odd), "W80.0850")
