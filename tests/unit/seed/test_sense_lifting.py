"""Whatever of the demo engine is too heavy for a person is lifted with a caution."""

from __future__ import annotations

from decimal import Decimal

from tests.unit.seed.sense import lifting
from tests.unit.seed.sense.engine import Engine
from tests.unit.seed.sense.planting import about, altered


def test_every_heavy_part_is_lifted_with_a_caution(sense: Engine) -> None:
    assert lifting.heavy_parts_lifted_without_caution(sense) == []


def test_a_heavy_part_lifted_without_caution_is_found(sense: Engine) -> None:
    odd = altered(sense, "steps", "flywheel_off", lift_kg=Decimal(20))
    found = lifting.heavy_parts_lifted_without_caution(odd.at("renew_flywheel"))
    assert about(found, "W56.0601")
    whole = sense.parts["W56.0601"].mass_kg
    kept = altered(sense, "steps", "flywheel_off", lift_kg=whole, tools=())
    found = lifting.heavy_parts_lifted_without_caution(kept.at("renew_flywheel"))
    assert not about(found, "W56.0601")


def test_no_step_states_less_than_it_lifts(sense: Engine) -> None:
    assert lifting.steps_that_state_less_than_they_lift(sense) == []


def test_a_step_that_states_less_than_it_lifts_is_found(sense: Engine) -> None:
    odd = altered(sense, "steps", "head_front_off", lift_kg=Decimal(30))
    assert about(lifting.steps_that_state_less_than_they_lift(odd), "head_front_off")


def test_the_hoist_is_told_the_heaviest_engine_with_its_fluids(sense: Engine) -> None:
    assert lifting.engines_heavier_than_the_hoist_is_told(sense) == []


def test_an_engine_heavier_than_the_hoist_is_told_is_found(sense: Engine) -> None:
    dry = sense.mass_kg(sense.usual[0])
    odd = altered(sense, "steps", "engine_raise", lift_kg=dry + 20)
    assert about(lifting.engines_heavier_than_the_hoist_is_told(odd), "engine_raise")
