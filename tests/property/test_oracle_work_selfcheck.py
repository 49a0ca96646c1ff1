"""The oracle's plans and job lists, on an engine small enough to plan on paper."""

from __future__ import annotations

import copy
from decimal import Decimal
from fractions import Fraction

import pytest

from tests.oracle.builds import Build, Tree, read_model, valid_builds
from tests.oracle.documents import Knobs
from tests.oracle.work import (
    Plan,
    best_plan,
    can_be_ordered,
    other_way,
    setting_of,
)
from tests.oracle.work_lists import job_needs
from tests.oracle.workshop import workshop_document

ENGINE: Tree = {
    "format": 1,
    "family": {"code": "dunlin", "name": "Dunlin"},
    "options": [],
    "positions": [
        {"code": code, "section": "s"}
        for code in ("pan", "gasket", "body", "guard", "pump", "seal", "ring")
    ],
    "parts": [
        {"number": "PAN", "pads": {"rail": {"mm": 12, "tol": 0.1}}},
        {"number": "GASKET", "pads": {"rail": {"mm": 0.8, "tol": 0.1}}},
        {"number": "BODY", "holes": {"rail": {
            "thread": "M8", "form": "blind", "threaded_mm": 25,
            "material": "grey_iron"}}},
        {"number": "GUARD", "reuse": "single"},
        {"number": "PUMP", "renew_with": ["seal"]},
        {"number": "SEAL"},
        {"number": "RING"},
        {"number": "S30", "kind": "screw", "screw": {
            "standard": "ISO 4017", "thread": "M8", "length_mm": 30,
            "property_class": "8.8"}},
        {"number": "OIL", "kind": "fluid"},
    ],
    "fitments": [
        {"position": code, "part": code.upper()}
        for code in ("pan", "gasket", "body", "guard", "pump", "seal", "ring")
    ],
    "joints": [{
        "code": "rail", "seals": ["gasket"],
        "screw": {"standard": ["ISO 4017"], "thread": "M8", "property_class": "8.8"},
        "into": {"position": "body", "hole": "rail"},
        "groups": [{"code": "a", "holes": [{"hole": 1}, {"hole": 2}, {"hole": 3}],
                    "layers": [{"position": "pan", "pad": "rail"},
                               {"position": "gasket", "pad": "rail"}]}],
    }],
    "steps": [
        {"code": "pan_off", "opens": ["rail"], "frees": ["pan"], "minutes_off": 20,
         "minutes_on": 10, "needs": ["guard"], "then": ["fill"]},
        {"code": "guard_off", "frees": ["guard"], "minutes_off": 5},
        {"code": "guard_swing", "frees": ["guard"], "minutes_off": 4,
         "needs": ["pump"]},
        {"code": "pump_off", "frees": ["pump"], "minutes_off": 40, "needs": ["pan"]},
        {"code": "pump_by_side", "frees": ["pump"], "minutes_off": 70},
        {"code": "seal_out", "frees": ["seal"], "minutes_off": 3,
         "needs": ["pump_off"]},
        {"code": "seal_cut", "frees": ["seal"], "minutes_off": 6},
        {"code": "fill", "minutes_on": 5, "uses": [{"part": "OIL", "qty": "4.5"}]},
    ],
    "jobs": [
        {"code": "reseal", "reseal": ["rail"], "check": ["ring", "gasket"]},
        {"code": "pump", "renew": ["pump"]},
    ],
}  # fmt: skip


def _planned(engine: Tree, jobs: list[str]) -> tuple[Plan, Plan | None, Tree]:
    model = read_model(engine)
    build: Build = valid_builds(model)[0]
    setting = setting_of(model, jobs, build)
    plan = best_plan(setting)
    assert plan is not None
    needs = job_needs(model, setting, plan, build)
    lines = {f"{n} {part} {place[1]}": qty for (n, part, place), qty in needs.items()}
    return plan, other_way(setting, plan), lines


def test_resealing_takes_the_guard_off_first_and_fills_after() -> None:
    plan, other, lines = _planned(ENGINE, ["reseal"])
    assert plan == Plan(("fill", "guard_off", "pan_off"), Fraction(40))
    assert lines == {
        "renew GASKET gasket": Decimal(1),
        "renew GUARD guard": Decimal(1),
        "renew OIL fill": Decimal("4.5"),
        "check S30 rail.a": Decimal(3),
        "check RING ring": Decimal(1),
    }
    # Swinging the guard needs the pump, which by the short way needs the pan.
    assert other is not None
    assert other.steps == ("fill", "guard_swing", "pan_off", "pump_by_side")
    assert other.minutes == 109


def test_the_cheapest_way_in_counts_all_it_drags_along() -> None:
    plan, other, lines = _planned(ENGINE, ["pump"])
    # The short way: guard 5, pan 30, fill 5, pump 40, seal 3; by the side: 70 + 6.
    assert plan == Plan(("pump_by_side", "seal_cut"), Fraction(76))
    assert lines == {"renew PUMP pump": Decimal(1), "renew SEAL seal": Decimal(1)}
    assert other is not None
    assert other.minutes == 83


def test_two_jobs_share_what_they_can() -> None:
    plan, _, lines = _planned(ENGINE, ["reseal", "pump"])
    assert plan.minutes == 83
    assert plan.steps == ("fill", "guard_off", "pan_off", "pump_off", "seal_out")
    assert set(lines) == {
        "renew GASKET gasket", "renew GUARD guard", "renew OIL fill",
        "renew PUMP pump", "renew SEAL seal", "check S30 rail.a", "check RING ring",
    }  # fmt: skip


def test_single_use_screws_are_renewed() -> None:
    engine = copy.deepcopy(ENGINE)
    engine["parts"][7]["reuse"] = "single"
    assert "renew S30 rail.a" in _planned(engine, ["reseal"])[2]


def test_steps_that_wait_on_one_another_cannot_be_ordered() -> None:
    model = read_model(ENGINE)
    setting = setting_of(model, ["pump"], valid_builds(model)[0])
    assert not can_be_ordered(setting, ["pan_off", "guard_swing", "pump_off", "fill"])
    assert can_be_ordered(setting, ["pan_off", "guard_off", "pump_off", "fill"])


def test_loosening_takes_the_screws_out_but_leaves_the_seal() -> None:
    engine = copy.deepcopy(ENGINE)
    engine["steps"][0]["loosens"] = ["rail.a"]
    del engine["steps"][0]["opens"]
    engine["jobs"].append({"code": "pan", "renew": ["pan"]})
    _, _, lines = _planned(engine, ["pan"])
    assert "check S30 rail.a" in lines
    assert not any("GASKET" in line for line in lines)


@pytest.mark.parametrize("seed", range(0, 60, 6))
def test_generated_workshops_can_mostly_be_planned(seed: int) -> None:
    knobs = Knobs(options=3, positions=3, joints=1, steps=2, jobs=1, most_builds=60)
    model = read_model(workshop_document(seed, knobs))
    for build in valid_builds(model)[:4]:
        setting = setting_of(model, ["job_1"], build)
        plan = best_plan(setting)
        if plan is not None:
            assert can_be_ordered(setting, plan.steps)
            job_needs(model, setting, plan, build)


def test_what_comes_with_the_new_pump_needs_no_way_of_its_own() -> None:
    engine = copy.deepcopy(ENGINE)
    engine["parts"][4]["includes"] = ["seal"]
    plan, _, lines = _planned(engine, ["pump"])
    assert plan == Plan(("pump_by_side",), Fraction(70))
    assert lines == {"renew PUMP pump": Decimal(1)}
    engine["parts"][5]["renew_with"] = ["ring"]
    engine["parts"][4]["includes"].append("ring")
    assert _planned(engine, ["pump"])[0] == plan
