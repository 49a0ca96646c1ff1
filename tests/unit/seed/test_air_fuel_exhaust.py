"""Air, fuel and exhaust of the demo: what a fitter would look for first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from bomsvc.core.resolve import Resolved
from bomsvc.core.resolve.lines import GroupForm

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo

ASHORE = {"use": "pump", "output": "kw230", "gears": "plain", "brake": "none"}


def lengths(demo: Demo, joint: str, answers: dict[str, Any]) -> set[int]:
    """The screw lengths of a joint on an engine of which so much is known."""
    found = demo.lists(answers, joints=[joint])
    assert found.faults == ()
    groups: list[GroupForm] = [group for one in found.joints for group in one.groups]
    sized = [group.screw for group in groups]
    return {int(s.chosen.length_mm) for s in sized if s is not None and s.chosen}


def steps(found: Resolved) -> set[str]:
    assert found.work is not None
    return {step.step for step in found.work.steps}


def renewed(found: Resolved) -> dict[str | None, Any]:
    return {line.part: line.qty for line in found.lines if line.need == "renew"}


@pytest.mark.parametrize(
    ("joint", "answers", "mm"),
    [
        ("heat_shield_face", {"use": "pump"}, 20),
        ("heat_shield_face", {"use": "harvester"}, 30),
        ("flap_actuator_foot", {"brake": "flap", "flap_power": "air"}, 20),
        ("flap_actuator_foot", {"brake": "flap", "flap_power": "electric"}, 30),
        ("intake_inlet", {"serial": "N211000"}, 35),
        ("intake_inlet", {"serial": "N213000"}, 50),
        ("trap_head_foot", {"use": "pump"}, 40),
        ("trap_head_foot", {"use": "boat"}, 50),
    ],
)
def test_what_lies_in_the_stack_decides_the_length(
    demo: Demo, joint: str, answers: dict[str, Any], mm: int
) -> None:
    assert lengths(demo, joint, answers) == {mm}


def test_the_marine_manifold_hangs_on_studs_and_the_dry_one_on_screws(
    demo: Demo,
) -> None:
    boat = renewed(demo.lists({"use": "boat"}, jobs=["reseal_exhaust_manifold"]))
    land = renewed(demo.lists(ASHORE, jobs=["reseal_exhaust_manifold"]))
    # Twelve at the ports, four at the foot, four at the outlet; or the eight alone.
    assert (boat["W82.1004"], land["W82.1004"]) == (20, 8)
    studs = renewed(demo.lists({"use": "boat"}, jobs=["renew_manifold_studs"]))
    assert studs["W82.7101"] == 12


def test_expansion_rings_are_renewed_with_the_turbocharger_in_place(
    demo: Demo,
) -> None:
    answers = {**ASHORE, "serial": "N210001"}
    found = demo.lists(answers, jobs=["renew_expansion_rings"])
    assert {"manifold_front_off", "manifold_rear_off"} <= steps(found)
    assert steps(found).isdisjoint({"turbo_off", "manifold_off"})
    assert renewed(found)["W52.0583"] == 6
    # The middle ports stay closed: two gaskets for each end piece and no more.
    assert renewed(found)["W52.0540"] == 4


def test_an_older_manifold_has_no_rings_to_renew(demo: Demo) -> None:
    answers = {**ASHORE, "serial": "N205000"}
    (fault,) = demo.lists(answers, jobs=["renew_expansion_rings"]).faults
    assert fault.code == "job_absent"
    whole = renewed(demo.lists(answers, jobs=["renew_manifold"]))
    assert whole["W52.0501"] == 1


def test_a_new_turbocharger_brings_its_cartridge(demo: Demo) -> None:
    turbo = demo.lists(ASHORE, jobs=["renew_turbo"])
    cartridge = demo.lists(ASHORE, jobs=["renew_turbo_cartridge"])
    assert "cartridge_out" not in steps(turbo)
    assert "cartridge_out" in steps(cartridge)
    assert "W54.1041" not in renewed(turbo)
    assert renewed(cartridge)["W54.1041"] == 1


@pytest.mark.parametrize(
    ("use", "sets"),
    [("pump", {"W32.0558", "W32.0559"}), ("boat", {"W32.0578", "W32.0579"})],
)
def test_six_injector_pipes_are_ordered_as_two_sets(
    demo: Demo, use: str, sets: set[str]
) -> None:
    found = demo.lists({"use": use}, jobs=["renew_injector_pipes"])
    ordered = {one.part: one.qty for one in found.orders}
    assert {number: ordered[number] for number in sets} == dict.fromkeys(sets, 1)


def test_every_high_pressure_job_warns_of_the_jet(demo: Demo) -> None:
    for job in ("renew_injector[3]", "renew_injector_pipes", "renew_injection_pump"):
        work = demo.lists(ASHORE, jobs=[job]).work
        assert work is not None
        assert any("pierces skin" in text for text in work.cautions), job


def test_a_boat_changes_two_pre_filters_and_their_seals(demo: Demo) -> None:
    found = renewed(demo.lists({"use": "boat"}, jobs=["service_fuel_500"]))
    assert (found["W36.0620"], found["W36.0624"]) == (2, 2)


def test_a_pump_off_leaves_no_pipe_on_it(demo: Demo) -> None:
    found = demo.lists(ASHORE, jobs=["renew_injection_pump"])
    off = {"fuel_lines_off", "return_line_off", "pump_oil_pipe_off", "boost_pipe_off"}
    assert off <= steps(found)
    # The stop solenoid goes over to the new pump, with a new ring.
    assert renewed(found)["W32.0562"] == 1
