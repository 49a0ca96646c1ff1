"""Each kind of finding, planted in a small engine: found, shown, in words."""

from __future__ import annotations

import pytest

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.budget import Budget
from bomsvc.core.prove import prove
from bomsvc.core.resolve.lines import Resolved
from bomsvc.core.resolve.resolving import resolve
from bomsvc.core.resolve.scope import read_scope
from tests.unit.prove.small_engine import (
    Tree,
    engine,
    found_in,
    reasoner_of,
    the,
)


def test_an_engine_without_faults_is_clean() -> None:
    assert found_in(engine()) == []


def test_a_gap_is_told_with_the_build_that_has_it() -> None:
    tree = engine()
    tree["fitments"][2]["when"] = "sump = rear and plate = none"
    finding = the(tree, "position_gap")
    assert (finding.severity, finding.at, finding.pointer) == (
        "fault",
        "pan",
        "/positions/1",
    )
    assert finding.detail == (
        "Oil pan must hold one part where it exists, and in this build none is "
        "listed: W40.2 (Pan, front) and W40.3 (Pan, rear) do not apply."
    )
    assert finding.shown == (
        "The usual build, except oil sump is rear and stiffener plate is thick."
    )
    assert finding.build is not None
    assert finding.build.answers == {"sump": "rear", "plate": "thick", "serial": 1}


def test_what_may_follow_from_a_gap_names_the_gap() -> None:
    tree = engine()
    tree["fitments"][0]["when"] = "plate = none"
    told = the(tree, "hole_missing").detail
    assert told.endswith(
        "In this build Cylinder block holds no part; fill that first, this may follow."
    )


def test_what_a_gap_elsewhere_does_not_bring_about_does_not_name_it() -> None:
    tree = engine()
    tree["fitments"][5]["when"] = "sump = rear"
    tree["joints"][0]["groups"][0]["stated"] = [{"part": "S.30"}]
    assert the(tree, "position_gap").shown == "The usual build."
    thick = the(tree, "screw_stated_fails")
    assert thick.build is not None
    assert thick.build.answers["plate"] == "thick"
    assert thick.build.answers["sump"] == "front", "the pump is missing here too"
    assert "may follow" not in thick.detail


def test_an_overlap_names_the_parts_that_meet() -> None:
    tree = engine()
    tree["fitments"][1]["when"] = "sump = front or plate = thick"
    finding = the(tree, "position_overlap")
    assert finding.detail == (
        "Oil pan holds one part at a time, and in this build 2 are listed: "
        "W40.2 (Pan, front) and W40.3 (Pan, rear)."
    )
    assert finding.shown == (
        "The usual build, except oil sump is rear and stiffener plate is thick."
    )


def test_a_stated_screw_that_bottoms_out_in_one_build_is_shown_there() -> None:
    tree = engine()
    tree["joints"][0]["groups"][0]["stated"] = [{"part": "S.40"}]
    finding = the(tree, "screw_stated_fails")
    assert finding.at == "rail.a"
    assert finding.pointer == "/joints/0/groups/0"
    assert finding.detail == (
        "Oil pan to block, Rail screws: S.40 is stated. A length of 40 mm bottoms out: "
        "5 mm too long for the hole. By the sizing, ISO 4762 - M10 x 30 - 8.8 would do."
    )
    assert finding.shown == "The usual build."
    assert finding.build is not None
    assert finding.build.answers["plate"] == "none"


def test_a_forgotten_gasket_names_step_part_and_joint() -> None:
    tree = engine()
    del tree["steps"][0]["opens"]
    finding = the(tree, "forgotten_gasket")
    assert finding.at == "pan_off"
    assert finding.detail == (
        "'Take off the oil pan' takes out Oil pan, which the joint 'Oil pan to "
        "block' clamps, and in this build neither it nor what it needs opens or "
        "loosens that joint: its gaskets and screws would be forgotten."
    )


def bring(tree: Tree, number: str, positions: list[str]) -> None:
    part = next(part for part in tree["parts"] if part["number"] == number)
    part["includes"] = positions


def sumps_bring(tree: Tree, *positions: str) -> None:
    """The pan's parts come with these positions."""
    for fitment in tree["fitments"]:
        if fitment["position"] == "pan":
            bring(tree, fitment["part"], list(positions))


def clamped_by_the_rail(tree: Tree) -> list[str]:
    joint = tree["joints"][0]
    layers = [layer["position"] for g in joint["groups"] for layer in g["layers"]]
    others = dict.fromkeys([*layers, joint["into"]["position"]])
    return [position for position in others if position != "pan"]


def test_an_assembly_comes_out_with_its_own_joint_shut() -> None:
    tree = engine()
    del tree["steps"][0]["opens"]
    sumps_bring(tree, *clamped_by_the_rail(tree))
    codes = {finding.code for finding in found_in(tree)}
    assert "forgotten_gasket" not in codes


def test_a_joint_that_holds_the_assembly_to_more_has_to_be_opened() -> None:
    tree = engine()
    del tree["steps"][0]["opens"]
    sumps_bring(tree, *clamped_by_the_rail(tree)[:-1])
    assert the(tree, "forgotten_gasket").at == "pan_off"


def test_steps_that_wait_on_each_other_are_told_once() -> None:
    tree = engine()
    tree["steps"][0]["needs"] = ["pump"]
    finding = the(tree, "needs_cycle")
    assert (finding.at, finding.pointer) == ("pan_off", "/steps/0")
    assert finding.detail == (
        "The job 'Renew the oil pump' cannot be done in this build: 'Take off the "
        "oil pan' and 'Take out the pump' wait on one another."
    )


def plant_position_stuck(tree: Tree) -> None:
    tree["steps"][1]["exists"] = "plate = none"


def plant_joint_never_opened(tree: Tree) -> None:
    tree["steps"][0]["exists"] = "plate = none"


def plant_job_idle(tree: Tree) -> None:
    tree["jobs"][1] = {"code": "look", "label": "Look", "check": ["pump"]}


def plant_dead_choice(tree: Tree) -> None:
    tree["rules"] = [{"code": "r", "then": "sump = front", "because": "x"}]


def plant_rule_never_applies(tree: Tree) -> None:
    tree["rules"] = [
        {"code": "q", "then": "sump = front", "because": "x"},
        {"code": "r", "when": "sump = rear", "then": "plate = none", "because": "x"},
    ]


def plant_rule_redundant(tree: Tree) -> None:
    rule = {"when": "sump = rear", "then": "plate = none", "because": "x"}
    tree["rules"] = [{"code": "q", **rule}, {"code": "r", **rule}]


def plant_idle_option(tree: Tree) -> None:
    choices = [{"code": "red", "label": "Red"}, {"code": "blue", "label": "Blue"}]
    tree["options"].append({"code": "paint", "label": "Paint", "choices": choices})


def plant_option_unaskable(tree: Tree) -> None:
    del tree["options"][0]["ask"]
    tree["jobs"][0]["renew"] = ["pan"]


def plant_condition_never(tree: Tree) -> None:
    part = {"position": "pump", "part": "W40.6", "rank": 2}
    tree["fitments"].append({**part, "when": "sump = front and sump = rear"})


def plant_condition_always(tree: Tree) -> None:
    tree["steps"][0]["exists"] = "sump = front or sump = rear"


def plant_position_empty(tree: Tree) -> None:
    tree["positions"][4]["fill"] = "optional"
    tree["fitments"][5]["when"] = "sump = rear"


def plant_fitment_dead(tree: Tree) -> None:
    tree["rules"] = [{"code": "r", "then": "sump = front", "because": "x"}]


def plant_part_unused(tree: Tree) -> None:
    tree["parts"].append({"number": "W40.9", "name": "Left over"})


def plant_pad_missing(tree: Tree) -> None:
    tree["parts"][2]["pads"] = {}


def plant_hole_missing(tree: Tree) -> None:
    tree["parts"][0]["holes"] = {}


def plant_screw_none_fits(tree: Tree) -> None:
    tree["parts"][0]["holes"]["rail"] |= {"threaded_mm": 4, "drilled_mm": 5}


def plant_screw_stated_overlap(tree: Tree) -> None:
    stated = [{"part": "S.30"}, {"part": "S.30", "when": "sump = rear"}]
    tree["joints"][0]["groups"][0]["stated"] = stated


def plant_screw_not_listed(tree: Tree) -> None:
    tree["parts"] = [p for p in tree["parts"] if p["number"] != "S.30"]


def plant_screw_overstressed(tree: Tree) -> None:
    tree["joints"][0]["tighten"] = {"passes": [{"torque_nm": 400}]}


def plant_hole_unplaced(tree: Tree) -> None:
    tree["joints"][0]["groups"][0]["holes"][1] = {"hole": 2}


def plant_quantity_by_holes(tree: Tree) -> None:
    tree["joints"][0]["groups"][0]["layers"][0]["per"] = "hole"
    tree["fitments"][4]["qty"] = "2"


PLANTS = {
    name.removeprefix("plant_"): plant
    for name, plant in list(globals().items())
    if name.startswith("plant_")
}


@pytest.mark.parametrize("code", PLANTS)
def test_what_is_planted_is_found(code: str) -> None:
    tree = engine()
    PLANTS[code](tree)
    assert found_in(tree, code), [f.code for f in found_in(tree)]


def test_no_valid_build_says_only_that() -> None:
    tree = engine()
    tree["rules"] = [{"code": "r", "then": "never", "because": "x"}]
    assert [f.code for f in found_in(tree)] == ["no_valid_build"]


def test_a_rule_that_forbids_its_own_case_is_only_noted() -> None:
    tree = engine()
    rule = {"code": "r", "when": "sump = rear and plate = thick", "because": "x"}
    tree["rules"] = [{**rule, "then": "never"}]
    assert the(tree, "rule_never_applies").severity == "note"


@pytest.mark.parametrize("code", ["position_gap", "position_overlap"])
def test_each_counter_example_shows_its_fault_when_it_is_resolved(code: str) -> None:
    tree = engine()
    when = {"position_gap": "never", "position_overlap": "always"}[code]
    tree["fitments"][2]["when"] = f"{when} or (sump = rear and plate = none)"
    reasoner = reasoner_of(tree)
    finding = the(tree, code)
    assert finding.build is not None
    known = read_answers(reasoner.compiled, finding.build.answers)
    scope = read_scope(reasoner.compiled, {"positions": ["pan"]})
    reply = resolve(reasoner, known, scope)
    assert isinstance(reply, Resolved)
    assert (code, "pan") in {(fault.code, fault.at) for fault in reply.faults}


def hard_rules(size: int) -> list[Tree]:
    """So many pigeons in one hole fewer, as rules: no build, and hard to see."""
    rules = []
    for hole in range(size - 1):
        for one in range(size):
            for other in range(one):
                then = f"not (p{one} = h{hole} and p{other} = h{hole})"
                code = f"r{hole}_{one}_{other}"
                rules.append({"code": code, "then": then, "because": "x"})
    return rules


def test_a_budget_that_runs_out_is_a_fault_and_never_clean() -> None:
    tree = engine()
    size = 9
    choices = [{"code": f"h{hole}", "label": "x"} for hole in range(size - 1)]
    for pigeon in range(size):
        tree["options"].append({"code": f"p{pigeon}", "label": "x", "choices": choices})
    tree["rules"] = hard_rules(size)
    compiled = reasoner_of(tree).compiled
    report = prove(compiled, budget=Budget(conflicts=50))
    assert not report.proven
    assert not report.clean
    assert [f.code for f in report.faults] == ["not_proven"]


def test_an_alternate_is_proven_with_the_usual_parts_elsewhere() -> None:
    tree = engine()
    other = {"number": "W40.8", "name": "Gasket, other make"}
    tree["parts"].append(other)
    tree["fitments"].append({"position": "gasket", "part": "W40.8", "rank": 2})
    finding = the(tree, "pad_missing")
    assert finding.detail == (
        "Oil pan to block, Rail screws: W40.8 in gasket says no pad 'rail' (with the "
        "alternate W40.8 (Gasket, other make))."
    )


def test_a_hole_too_shallow_for_any_thread_says_what_it_offers() -> None:
    tree = engine()
    plant_screw_none_fits(tree)
    assert the(tree, "screw_none_fits").detail == (
        "Oil pan to block, Rail screws: The hole offers no engaged thread (4 mm depth "
        "of full thread less 1.5 mm clearance, 3 mm point); 12.5 mm are needed: 13 mm "
        "are missing."
    )


def test_a_part_that_no_build_has_is_named_with_its_place() -> None:
    tree = engine()
    plant_fitment_dead(tree)
    assert the(tree, "fitment_dead").detail == (
        "No valid build ever has W40.3 (Pan, rear) as Oil pan."
    )
