"""The demo engine takes believable oil and coolant, and takes it once."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from bomsvc.core.catalogue.entities import Use
from tests.unit.seed.sense import fluids
from tests.unit.seed.sense.engine import Engine
from tests.unit.seed.sense.planting import Planted, about, altered, item


def scaled(sense: Engine, step: str, factor: str) -> Planted:
    """The document with other quantities of what a step uses."""
    uses = item(sense, "steps", step).uses
    made = tuple(replace(use, qty=use.qty * Decimal(factor)) for use in uses)
    return altered(sense, "steps", step, uses=made)


def test_the_fills_are_those_of_an_engine_of_its_size(sense: Engine) -> None:
    assert fluids.fills_of_unlikely_size(sense) == []


@pytest.mark.parametrize("step", ["refill_oil", "refill_coolant"])
@pytest.mark.parametrize("factor", ["0.4", "2"])
def test_a_fill_of_unlikely_size_is_found(
    sense: Engine, step: str, factor: str
) -> None:
    assert about(fluids.fills_of_unlikely_size(scaled(sense, step, factor)), step)


def test_a_bigger_well_takes_more_oil(sense: Engine) -> None:
    assert fluids.wells_that_hold_less_than_smaller_ones(sense) == []


def test_a_bigger_well_that_takes_less_oil_is_found(sense: Engine) -> None:
    pans = {
        one.fitment.part: one.fitment
        for one in sense.fitments()
        if one.fitment.position.code == "pan" and one.fitment.rank == 1
    }
    assert len(pans) == 6
    heaviest = max(sense.parts[number].mass_kg or Decimal(0) for number in pans)
    odd = altered(sense, "parts", "W40.1185", mass_kg=heaviest + 1)
    # The front well takes the least oil, whatever it weighs.
    whole = Engine(odd.catalogue)
    assert about(fluids.wells_that_hold_less_than_smaller_ones(whole), "W40.1185")


def test_however_many_jobs_are_done_the_engine_is_filled_once(sense: Engine) -> None:
    assert fluids.fills_that_are_counted_twice(sense) == []


def test_oil_that_is_filled_in_twice_is_found(sense: Engine) -> None:
    uses = (Use("W90.0001", Decimal(28)),)
    odd = altered(sense, "steps", "drain_oil", uses=uses)
    found = fluids.fills_that_are_counted_twice(odd.at("change_oil", use="pump"))
    assert about(found, "W90.0001")


def test_fluids_weigh_what_fluids_weigh(sense: Engine) -> None:
    assert fluids.fluids_of_unlikely_density(sense) == []


def test_a_fluid_of_unlikely_density_is_found(sense: Engine) -> None:
    odd = altered(sense, "parts", "W90.0001", mass_kg=Decimal("8.8"))
    assert about(fluids.fluids_of_unlikely_density(odd), "W90.0001")
