"""The oracle's proof finds each fault that was put in, and paper cases come out."""

from __future__ import annotations

import copy
import random
from fractions import Fraction

import pytest

from tests.oracle.builds import Tree, read_model
from tests.oracle.documents import Knobs, document
from tests.oracle.faults import KINDS, with_fault
from tests.oracle.prove import findings
from tests.oracle.prove_joints import constant_conditions, joint_findings
from tests.oracle.torque import load_shares
from tests.oracle.workshop import workshop_document
from tests.property.test_oracle_work_selfcheck import ENGINE

PLAIN = Knobs(options=4, positions=4, rules=2, most_builds=120)
WORK = Knobs(options=3, positions=4, rules=1, joints=1, steps=2, jobs=1, most_builds=40)


def _found(doc: Tree) -> set[tuple[str, str]]:
    """Findings, their places without members."""
    return {(code, at.partition("[")[0]) for code, at in findings(read_model(doc))}


@pytest.mark.parametrize("kind", KINDS)
def test_each_planted_fault_is_found(kind: str) -> None:
    planted = 0
    for seed in range(12):
        rng = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
        work = kind in ("joint_never_opened", "position_stuck")
        doc = workshop_document(seed, WORK) if work else document(seed, PLAIN)
        faulty = with_fault(doc, kind, rng)
        if faulty is not None:
            planted += 1
            tree, finding = faulty
            assert finding in _found(tree)
    assert planted >= 4


@pytest.mark.parametrize("seed", range(20))
def test_generated_documents_have_neither_gaps_nor_overlaps(seed: int) -> None:
    codes = {code for code, _ in findings(read_model(document(seed, PLAIN)))}
    assert not codes & {"position_gap", "position_overlap", "no_valid_build"}


def test_the_paper_engine_forgets_no_gasket() -> None:
    found = _found(ENGINE)
    assert {code for code, _ in found} <= {"part_unused"}


def test_a_pan_taken_off_with_its_joint_closed_forgets_the_gasket() -> None:
    engine = copy.deepcopy(ENGINE)
    engine["steps"][8:] = [{"code": "pan_cut", "frees": ["pan"], "minutes_off": 1}]
    assert ("forgotten_gasket", "pan_cut") in _found(engine)
    # Where it needs the joint open first, nothing is forgotten.
    engine["steps"][8]["needs"] = ["gasket"]
    assert ("forgotten_gasket", "pan_cut") not in _found(engine)


def test_loosening_is_enough_above_the_seal_and_not_below() -> None:
    engine = copy.deepcopy(ENGINE)
    engine["steps"][0]["loosens"] = ["rail.a"]
    del engine["steps"][0]["opens"]
    assert ("forgotten_gasket", "pan_off") not in _found(engine)
    engine["joints"][0]["groups"][0]["layers"].reverse()
    assert ("forgotten_gasket", "pan_off") in _found(engine)


def test_a_position_whose_ways_in_wait_on_one_another_is_a_cycle() -> None:
    engine = copy.deepcopy(ENGINE)
    engine["steps"] = [
        {"code": "one", "frees": ["pump"], "needs": ["seal"]},
        {"code": "two", "frees": ["seal"], "needs": ["pump"]},
        {"code": "open", "opens": ["rail"]},
    ]
    assert ("needs_cycle", "pump") in _found(engine)


def _part(engine: Tree, number: str) -> Tree:
    (part,) = (p for p in engine["parts"] if p["number"] == number)
    assert isinstance(part, dict)
    return part


def test_a_screw_that_fits_is_no_finding() -> None:
    assert joint_findings(read_model(ENGINE)) == set()


def test_a_hole_too_shallow_for_any_screw_is_found() -> None:
    engine = copy.deepcopy(ENGINE)
    _part(engine, "BODY")["holes"]["rail"]["threaded_mm"] = 12
    assert joint_findings(read_model(engine)) == {("screw_none_fits", "rail.a")}


def test_a_screw_that_nobody_lists_is_found() -> None:
    engine = copy.deepcopy(ENGINE)
    _part(engine, "S30")["screw"]["property_class"] = "10.9"
    assert joint_findings(read_model(engine)) == {("screw_not_listed", "rail.a")}


def test_a_stated_screw_that_bottoms_out_is_found() -> None:
    engine = copy.deepcopy(ENGINE)
    _part(engine, "S30")["screw"]["length_mm"] = 45
    engine["joints"][0]["groups"][0]["stated"] = [{"part": "S30"}]
    assert joint_findings(read_model(engine)) == {("screw_stated_fails", "rail.a")}
    engine["joints"][0]["groups"][0]["stated"] *= 2
    assert joint_findings(read_model(engine)) == {
        ("screw_stated_overlap", "rail.a"),
        ("screw_stated_fails", "rail.a"),
    }


def test_a_torque_far_beyond_the_screw_is_found_and_half_of_it_is_not() -> None:
    # M10 8.8: 58.0 mm2 x 580 MPa is 33.64 kN; by hand, at 0.12 a lever of 1.6 mm.
    usual, lowest = load_shares("ISO 4762", "M10", "8.8", Fraction(54))
    assert Fraction("0.95") < usual < Fraction("1.05")
    assert lowest > Fraction("1.25")
    assert load_shares("ISO 4762", "M10", "8.8", Fraction(27))[0] == usual / 2


def test_a_missing_pad_or_hole_is_found() -> None:
    engine = copy.deepcopy(ENGINE)
    _part(engine, "PAN")["pads"] = {"flange": {"mm": 12}}
    assert joint_findings(read_model(engine)) == {("pad_missing", "rail.a")}
    engine = copy.deepcopy(ENGINE)
    _part(engine, "BODY")["holes"] = {}
    assert joint_findings(read_model(engine)) == {("hole_missing", "rail.a")}


def test_conditions_that_cannot_fail_or_hold_are_found() -> None:
    doc = document(3, PLAIN)
    code = doc["options"][0]["code"]
    first, second = (choice["code"] for choice in doc["options"][0]["choices"][:2])
    never = f"{code} = {first} and {code} = {second}"
    doc["fitments"][0]["when"] = never
    doc["positions"][0]["exists"] = f"not ({never})"
    found = constant_conditions(read_model(doc))
    assert ("condition_never", never) in found
    assert ("condition_always", f"not ({never})") in found
