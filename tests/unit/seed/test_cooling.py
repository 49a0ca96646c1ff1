"""The cooling side and the compressor of the demo family, as a fitter meets them."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import pytest

from bomsvc.core.resolve.lines import Resolved
from bomsvc.core.work import Plan, plan

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo

PUMP = {"use": "pump", "plant": "north", "output": "kw230", "serial": 210000}


def worked(demo: Demo, answers: dict[str, Any], *jobs: str) -> tuple[str, ...]:
    """Steps of the plan, each once."""
    build = demo.reasoner.witness(demo.known(answers))
    assert build is not None
    found = plan(demo.compiled, build.truth, jobs)
    assert isinstance(found, Plan)
    return tuple(dict.fromkeys(step.key for step in found.steps))


def ordered(demo: Demo, answers: dict[str, Any], job: str) -> dict[str, Decimal]:
    """Quantity of each part to renew, on the usual build with these answers."""
    build = demo.reasoner.witness(demo.known(answers))
    assert build is not None
    found = demo.lists(dict(build.answers), jobs=[job])
    assert found.certain
    lines = [line for line in found.lines if line.need == "renew"]
    return {str(line.part): line.qty for line in lines}


def lengths_mm(demo: Demo, answers: dict[str, Any], joint: str) -> set[Fraction]:
    found: Resolved = demo.lists(answers, joints=[joint])
    assert found.faults == ()
    figures = [group.screw for group in found.joints[0].groups]
    assert all(figures), "the joint is open yet"
    return {one.chosen.length_mm for one in figures if one and one.chosen}


@pytest.mark.parametrize(
    ("drive", "pto", "length"),
    [("none", "none", 50), ("plate", "front", 70), ("bell", "front", 90)],
)
def test_the_farther_the_fan_stands_ahead_the_longer_are_its_screws(
    demo: Demo, drive: str, pto: str, length: int
) -> None:
    answers = {**PUMP, "drive": drive, "pto": pto}
    assert lengths_mm(demo, answers, "fan_hub") == {Fraction(length)}


def test_a_nylon_fan_takes_longer_screws_than_a_steel_one(demo: Demo) -> None:
    steel = lengths_mm(demo, PUMP, "fan_face")
    nylon = lengths_mm(demo, {**PUMP, "serial": 215000}, "fan_face")
    assert max(steel) < min(nylon)


@pytest.mark.parametrize(
    ("extras", "serial", "length"),
    [
        ([], 210000, 25),
        (["coolant_filter"], 210000, 35),
        (["coolant_filter"], 213000, 40),
    ],
)
def test_the_coolant_filter_pad_takes_screws_as_thick_as_what_sits_on_it(
    demo: Demo, extras: list[str], serial: int, length: int
) -> None:
    answers = {**PUMP, "extras": extras, "serial": serial}
    assert lengths_mm(demo, answers, "coolant_filter_pad") == {Fraction(length)}


def test_beside_a_compressor_the_supply_rail_stands_off_with_one_o_ring_more(
    demo: Demo,
) -> None:
    plain = {**PUMP, "compressor": "none", "extras": ["supply_rail"]}
    beside = {**plain, "compressor": "single"}
    assert lengths_mm(demo, plain, "supply_flange") == {Fraction(30)}
    assert lengths_mm(demo, beside, "supply_flange") == {Fraction(55)}
    assert ordered(demo, plain, "reseal_supply_rail")["W48.0703"] == 1
    assert ordered(demo, beside, "reseal_supply_rail")["W48.0703"] == 2


def test_a_head_with_cocks_lets_the_filter_be_changed_with_the_system_full(
    demo: Demo,
) -> None:
    early = {**PUMP, "extras": ["coolant_filter"]}
    late = {**early, "serial": 213000}
    assert "draw_down" in worked(demo, early, "service_coolant_filter")
    steps = worked(demo, late, "service_coolant_filter")
    assert {"coolant_filter_off", "top_up_coolant"} <= set(steps)
    assert not {"draw_down", "drain_coolant"} & set(steps)


def test_thermostats_are_changed_without_draining_the_whole_system(demo: Demo) -> None:
    steps = worked(demo, PUMP, "renew_thermostats")
    assert "draw_down" in steps
    assert "drain_coolant" not in steps
    assert ordered(demo, PUMP, "renew_thermostats")["W90.0004"] == 1


def test_what_is_drained_for_one_job_is_not_drawn_down_for_another(demo: Demo) -> None:
    steps = worked(demo, PUMP, "renew_thermostats", "renew_coolant")
    assert "drain_coolant" in steps
    assert "draw_down" not in steps
    assert "top_up_coolant" not in steps


@pytest.mark.parametrize(
    ("extra", "step"),
    [("cab_heater", "bleed_cab_heater"), ("supply_rail", "bleed_supply_rail")],
)
def test_each_circuit_that_is_there_is_bled_after_the_system_is_filled(
    demo: Demo, extra: str, step: str
) -> None:
    answers = {"use": "boat", "serial": 210000, "extras": [extra]}
    steps = worked(demo, answers, "renew_coolant")
    assert steps.index("refill_coolant") < steps.index(step) < steps.index("test_run")
    assert step not in worked(demo, {**answers, "extras": []}, "renew_coolant")


def test_a_fan_far_enough_ahead_also_comes_off_behind_its_cowl(demo: Demo) -> None:
    def ways(drive: str) -> list[str]:
        known = demo.known({**PUMP, "drive": drive})
        return [
            key
            for key, step in demo.compiled.standing.steps.items()
            if "fan" in step.frees and demo.reasoner.possible(known, [step.exists])
        ]

    assert ways("none") == ["fan_off"]
    assert ways("plate") == ["fan_off", "fan_off_close"]


def test_with_the_radiator_out_the_cowl_needs_no_step_of_its_own(demo: Demo) -> None:
    steps = worked(demo, PUMP, "renew_cooler", "renew_fan")
    assert "radiator_off" in steps
    assert "fan_cowl_off" not in steps


def test_late_compressors_come_off_with_the_coolant_in(demo: Demo) -> None:
    early = {**PUMP, "compressor": "single"}
    assert "drain_coolant" in worked(demo, early, "renew_compressor")
    late = worked(demo, {**early, "serial": 213000}, "renew_compressor")
    assert "compressor_coolant_clamped" in late
    assert "drain_coolant" not in late


def test_a_new_coolant_pump_comes_with_its_shaft_and_seal(demo: Demo) -> None:
    parts = ordered(demo, PUMP, "renew_coolant_pump")
    assert parts["W48.0420"] == 1
    assert not {"W48.0754", "W48.0755", "W48.0758"} & set(parts)
    assert "water_pump_strip" not in worked(demo, PUMP, "renew_coolant_pump")


def test_shaft_and_seal_of_the_coolant_pump_are_sold_as_one_set(demo: Demo) -> None:
    for number in ("W48.0754", "W48.0755"):
        sold = demo.parts[number].sold_as
        assert sold is not None
        assert sold.number == "W48.0758"
        assert {content.part for content in sold.contents} == {"W48.0754", "W48.0755"}


def test_a_pump_set_has_no_cab_to_heat(demo: Demo) -> None:
    known = demo.known({"use": "pump", "extras": {"cab_heater": True}})
    assert tuple(demo.reasoner.clash(known).rules) == ("cab_heater_cab",)
