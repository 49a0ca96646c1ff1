"""What a fitter finds at the demo's heads, valve gear, brakes and bearings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from bomsvc.core.resolve import Resolved

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo


MAINS = range(1, 8)


def on_file(engines: list[dict[str, Any]], serial: str) -> dict[str, Any]:
    (row,) = (row for row in engines if row["serial"] == serial)
    answers: dict[str, Any] = row["answers"]
    return answers


def strip_down(found: Resolved) -> list[str]:
    assert found.work is not None
    return [step.step for step in found.work.steps if step.phase == "strip"]


def refit(found: Resolved) -> list[str]:
    assert found.work is not None
    return [step.step for step in found.work.steps if step.phase == "refit"]


def to_renew(found: Resolved) -> dict[str, int]:
    """Whole pieces per part number that are surely renewed."""
    pieces: dict[str, int] = {}
    for line in found.lines:
        if line.need == "renew" and line.state == "certain" and line.part is not None:
            pieces[line.part] = pieces.get(line.part, 0) + int(line.qty)
    return pieces


def test_a_new_head_brings_guides_and_sleeves_and_its_valves_get_new_seals(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    found = demo.lists(on_file(engines, "N210440"), jobs=["renew_front_head"])
    pieces = to_renew(found)
    assert pieces["W28.0101"] == 1
    assert pieces["W30.0404"] == 12
    assert {"W30.0413", "W30.0410", "W28.0135", "W28.0131"}.isdisjoint(pieces)


def test_an_exchange_head_comes_with_all_that_sits_in_it(demo: Demo) -> None:
    for number, bare in (("W28.0108", "W28.0101"), ("W28.0109", "W28.0102")):
        exchange = {str(ref) for ref in demo.parts[number].includes}
        assert {str(ref) for ref in demo.parts[bare].includes} < exchange
        seats = {ref.code for ref in demo.parts[number].includes}
        assert {"valve_in", "valve_out", "valve_spring", "cotter", "guide"} <= seats


def test_rockers_come_off_before_their_carrier(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    steps = strip_down(
        demo.lists(on_file(engines, "S218003"), jobs=["renew_rear_head_gasket"])
    )
    carrier = steps.index("carrier_off")
    for cylinder in range(1, 7):
        assert steps.index(f"rockers_off[{cylinder}]") < carrier
    assert steps.index("brake_feed_off") < carrier


@pytest.mark.parametrize(
    ("serial", "springs"), [("N210440", 4), ("S218003", 4), ("N215890", 8)]
)
def test_only_a_flap_brake_has_two_springs_on_each_valve(
    demo: Demo, engines: list[dict[str, Any]], serial: str, springs: int
) -> None:
    found = demo.lists(on_file(engines, serial), jobs=["renew_valve_springs[3]"])
    pieces = to_renew(found)
    assert pieces["W30.0406"] + pieces.get("W30.0405", 0) == springs


def test_the_other_way_to_a_main_bearing_of_a_boat_is_the_engine_out(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    found = demo.lists(on_file(engines, "S209551"), jobs=["renew_main_bearing[2]"])
    assert "main_cap_off[2]" in strip_down(found)
    assert found.work is not None
    other = found.work.other_way
    assert other is not None
    assert {"engine_out", "main_cap_off_turned[2]"} <= set(other.steps)


def test_a_crankshaft_takes_new_shells_at_every_journal(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    sizes = {f"main_size[{main}]": "std" for main in range(1, 8)}
    sizes |= {f"rod_size[{cylinder}]": "std" for cylinder in range(1, 7)}
    answers = {**on_file(engines, "N210440"), **sizes, "thrust_size": "std"}
    found = demo.lists(answers, jobs=["renew_crankshaft"])
    assert found.certain
    pieces = to_renew(found)
    assert pieces["W20.6101"] == pieces["W20.6102"] == 7
    assert pieces["W24.0211"] == pieces["W24.0212"] == 6
    steps = strip_down(found)
    assert steps.index("engine_out") < steps.index("crank_out") == len(steps) - 1


def test_a_crankshaft_is_held_by_its_caps_before_anything_is_built_onto_it(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    found = demo.lists(on_file(engines, "N210440"), jobs=["renew_crankshaft"])
    steps = refit(found)
    held = max(steps.index(f"main_cap_off_turned[{main}]") for main in range(1, 8))
    built = ("rear_carrier_off", "gear_case_off", "crank_gear_off", "rod_cap_off[1]")
    assert all(held < steps.index(step) for step in built)


def test_what_is_done_on_the_stand_is_done_before_the_engine_goes_back(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    for serial in ("N210440", "S209551", "S218003"):
        found = demo.lists(on_file(engines, serial), jobs=["renew_crankshaft"])
        off, on = strip_down(found), refit(found)
        assert off.index("engine_out") < off.index("pan_off_turned")
        bare = max(
            off.index(x) for x in ("damper_off", "flywheel_off", "gear_case_off")
        )
        assert bare < min(off.index(f"main_cap_off_turned[{main}]") for main in MAINS)
        back = on.index("engine_out")
        done = ("pan_off_turned", "rod_cap_off[6]", "front_cover_off", "flywheel_off")
        assert all(on.index(step) < back for step in done)
        cooler = {"radiator_off", "heat_exchanger_off"} & set(on)
        assert all(on.index("engine_raise") < on.index(step) for step in cooler)


def test_a_raised_engine_is_uncoupled_once(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    """Raising it parts the drive, so nothing behind it is drawn back as well."""
    steps = strip_down(
        demo.lists(on_file(engines, "S209551"), jobs=["reseal_rear_carrier"])
    )
    assert "coupling_off_raised" in steps
    assert "load_back" not in steps


def test_a_new_hydraulic_pump_takes_over_gear_and_sleeve(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    found = demo.lists(on_file(engines, "N215890"), jobs=["renew_side_take_off"])
    need = {line.part: line.need for line in found.lines}
    assert need["W18.5022"] == need["W18.5038"] == "renew"
    assert need["W18.5032"] == need["W18.5036"] == "check"
