"""What a fitter finds at the demo's top end and outside, as statements."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from bomsvc.core.work import Plan, plan

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo

PUMP = {"use": "pump", "plant": "north", "output": "kw230", "serial": 210000}
BOAT = {"use": "boat", "output": "kw280", "cooling": "raw", "serial": 218500}
HARVESTER = {"use": "harvester", "output": "kw230", "serial": 218003}


def steps(demo: Demo, answers: dict[str, Any], *jobs: str) -> set[str]:
    build = demo.reasoner.witness(demo.known(answers))
    assert build is not None
    found = plan(demo.compiled, build.truth, jobs)
    assert isinstance(found, Plan)
    return {step.key for step in found.steps}


def renewed(demo: Demo, answers: dict[str, Any], job: str) -> set[str]:
    build = demo.reasoner.witness(demo.known(answers))
    assert build is not None
    found = demo.lists(dict(build.answers), jobs=[job])
    return {str(line.part) for line in found.lines if line.need == "renew"}


def test_every_caution_is_a_whole_sentence(demo: Demo) -> None:
    """A comma in a flow list once made two halves of one caution."""
    said = [
        text
        for cautions in (
            *(part.cautions for part in demo.catalogue.parts),
            *(step.cautions for step in demo.catalogue.steps),
        )
        for text in cautions
    ]
    assert [t for t in said if t[0].islower() or not t.endswith(".")] == []


@pytest.mark.parametrize(
    ("job", "answers", "left_alone"),
    [
        ("renew_raw_pump", BOAT, "impeller_out"),
        ("renew_front_head", PUMP, "nozzle_sleeve_out[1]"),
        ("renew_rear_head", PUMP, "nozzle_sleeve_out[6]"),
        ("renew_turbo", BOAT, "cartridge_out"),
        ("renew_lift_pump", PUMP, "lift_strainer_out"),
    ],
)
def test_what_comes_with_an_assembly_is_not_worked_on(
    demo: Demo, job: str, answers: dict[str, Any], left_alone: str
) -> None:
    assert left_alone not in steps(demo, answers, job)


def test_the_gasket_under_the_spacer_is_renewed_with_the_spacer_off(demo: Demo) -> None:
    bleed = {**HARVESTER, "brake": "bleed"}
    assert "W34.0203" in renewed(demo, bleed, "reseal_rocker_cover")
    assert "spacer_off" in steps(demo, bleed, "reseal_rocker_cover")


@pytest.mark.parametrize("use", ["pump", "boat", "harvester"])
def test_an_alternator_hangs_on_two_screws(demo: Demo, use: str) -> None:
    found = demo.lists({"use": use, "serial": 210000}, joints=["alternator_lug"])
    assert [len(group.holes) for group in found.joints[0].groups] == [2]


def test_a_camshaft_is_drawn_forward_through_the_radiators_place(demo: Demo) -> None:
    done = steps(demo, {**PUMP, "damper": "rubber"}, "renew_camshaft")
    assert {"radiator_off", "lift_pump_off"} <= done


def test_a_water_charge_cooler_is_drained_and_parted_from_its_hoses(demo: Demo) -> None:
    assert {"drain_coolant", "charge_water_off"} <= steps(
        demo, BOAT, "renew_charge_cooler"
    )
    assert "drain_coolant" not in steps(demo, PUMP, "renew_charge_cooler")


def test_a_new_bowl_takes_the_water_sensor_over(demo: Demo) -> None:
    assert "W62.1250" in renewed(demo, HARVESTER, "renew_trap_bowl")
    assert "W62.1250" not in renewed(demo, PUMP, "renew_trap_bowl")


def test_the_overflow_valve_comes_off_with_the_return_line(demo: Demo) -> None:
    frees = {step.code: step.frees for step in demo.catalogue.steps}
    assert "overflow_valve" in [str(ref) for ref in frees["return_line_off"]]


def test_the_vent_hose_is_parted_before_a_boats_rear_cover_comes_off(
    demo: Demo,
) -> None:
    job = "reseal_head_water_cover"
    assert "vent_hose_off" in steps(demo, BOAT, job)
    assert "vent_hose_off" not in steps(demo, PUMP, job)


@pytest.mark.parametrize(
    ("position", "section"),
    [
        ("camshaft", "camshaft_group"),
        ("fan_belt", "belts"),
        ("riser_gasket", "exhaust_out"),
    ],
)
def test_a_part_is_looked_for_among_its_kin(
    demo: Demo, position: str, section: str
) -> None:
    found = {one.code: one.section for one in demo.catalogue.positions}
    assert found[position] == section


def test_pipes_are_tightened_when_the_pump_is_set(demo: Demo) -> None:
    build = demo.reasoner.witness(demo.known(PUMP))
    assert build is not None
    found = plan(demo.compiled, build.truth, ["renew_injection_pump"])
    assert isinstance(found, Plan)
    order = [step.key for step in found.steps]
    last = len(order) - 1 - order[::-1].index("pipe_off[1]")
    assert order.index("set_pump") < last


def test_two_turbocharger_coolant_pipes_have_four_unions(demo: Demo) -> None:
    washers = [f for f in demo.catalogue.fitments if f.part == "W54.1056"]
    assert [f.qty for f in washers] == [2 * 4]


def test_a_block_without_a_compressor_has_its_ports_plugged(demo: Demo) -> None:
    plugs = {"W60.0735", "W60.0736"}
    for compressor, there in (("none", plugs), ("single", set())):
        answers = {**PUMP, "gears": "plain", "compressor": compressor}
        found = demo.lists(answers, sections=["air_lines"])
        assert {str(line.part) for line in found.lines} & plugs == there


def test_hoses_that_are_renewed_are_not_pinched_but_drained(demo: Demo) -> None:
    late = {**PUMP, "compressor": "single", "serial": 213000}
    done = steps(demo, late, "renew_compressor_lines")
    assert "drain_coolant" in done
    assert "compressor_coolant_clamped" not in done
    assert "compressor_coolant_off" not in steps(demo, late, "renew_compressor")
