"""Changes of a small engine: what names a list, what names nothing, in words."""

from __future__ import annotations

import copy
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from bomsvc.core.catalogue import Catalogue, read_catalogue
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.prove import contents, tables
from bomsvc.core.prove.changes import NOT_ALL, NOT_SETTLED, Changed, Comparison
from bomsvc.core.terms.json_text import read_json
from tests.oracle.documents import json_text
from tests.unit.prove.small_engine import engine

Tree = dict[str, Any]
Edit = Callable[[Tree], None]


def catalogue_of(tree: Tree) -> Catalogue:
    return read_catalogue(read_json(json_text(tree)))


def one(tree: Tree, kind: str, code: str) -> Tree:
    key = "number" if kind == "parts" else "code"
    found: Tree = next(item for item in tree[kind] if item[key] == code)
    return found


def compared(edit: Edit, before: Tree | None = None) -> Comparison:
    before = before or engine()
    after = copy.deepcopy(before)
    edit(after)
    return Comparison(catalogue_of(before), catalogue_of(after))


def places(comparison: Comparison) -> dict[tuple[str, str, str], Changed]:
    found = comparison.changes().places
    return {(place.kind, place.at, place.differs): place for place in found}


def named(edit: Edit, before: Tree | None = None) -> set[tuple[str, str, str]]:
    return set(places(compared(edit, before)))


RAIL = {("joint", "rail", "list"), ("job", "pump", "list"), ("job", "reseal", "list")}


def thicker(mm: str, part: str = "W40.4") -> Edit:
    def edit(tree: Tree) -> None:
        one(tree, "parts", part)["pads"]["rail"]["mm"] = Decimal(mm)

    return edit


def a_screw(number: str, **data: object) -> Edit:
    def edit(tree: Tree) -> None:
        part = copy.deepcopy(one(tree, "parts", "S.30"))
        part["number"] = number
        part["screw"].update(data)
        tree["parts"].append(part)

    return edit


def test_a_gasket_a_little_thicker_changes_a_figure_and_no_list() -> None:
    assert named(thicker("1.3")) == set()


def test_a_longer_screw_for_a_thicker_gasket_is_named_by_joint_and_jobs() -> None:
    found = places(compared(thicker("9")))
    assert set(found) == RAIL
    joint = found["joint", "rail", "list"]
    assert joint.when == "Always."
    assert joint.complete
    assert joint.shown == "The usual build."
    assert joint.example is not None
    assert joint.example.sentence == (
        "Oil pan to block, Rail screws: 2 x S.40 (ISO 4762 - M10 x 40 - 8.8) instead "
        "of 2 x S.30 (ISO 4762 - M10 x 30 - 8.8)."
    )
    job = found["job", "pump", "list"]
    assert job.example is not None
    assert job.example.sentence == (
        "Oil pan to block, Rail screws: 2 x S.40 (ISO 4762 - M10 x 40 - 8.8, to be "
        "checked) instead of 2 x S.30 (ISO 4762 - M10 x 30 - 8.8, to be checked)."
    )


def test_only_the_builds_whose_screws_change_are_named() -> None:
    found = places(compared(thicker("22", "W40.5")))
    joint = found["joint", "rail", "list"]
    assert joint.when == "Stiffener plate is thick."
    assert joint.condition == "plate = thick"
    assert joint.build is not None
    assert joint.build["plate"] == "thick"
    assert joint.shown == "The usual build, except stiffener plate is thick."


def test_a_stack_that_no_screw_of_the_catalogue_fits_is_told_as_a_fault() -> None:
    found = places(compared(thicker("22", "W40.5")))
    example = found["joint", "rail", "list"].example
    assert example is not None
    assert example.sentence == (
        "Oil pan to block, Rail screws: 2 x ISO 4762 - M10 x 55 - 8.8 instead of 2 x "
        "S.40 (ISO 4762 - M10 x 40 - 8.8), and a fault now: ISO 4762 - M10 x 55 - 8.8 "
        "fits, but the catalogue has no number for it."
    )


def test_a_second_number_for_the_same_screw_changes_nothing_by_itself() -> None:
    assert named(a_screw("S.99")) == set()


def test_a_preferred_number_is_taken_from_now_on() -> None:
    assert named(a_screw("S.99", preferred=True)) == RAIL


def test_a_number_that_sorts_first_is_taken_from_now_on() -> None:
    found = places(compared(a_screw("A.1")))
    example = found["joint", "rail", "list"].example
    assert set(found) == RAIL
    assert example is not None
    assert "2 x A.1 (ISO 4762" in example.sentence


def test_the_order_of_standards_counts_where_another_is_then_taken() -> None:
    before = engine()
    a_screw("H.30", standard="ISO 4017")(before)
    one(before, "joints", "rail")["screw"]["standard"] = ["ISO 4762", "ISO 4017"]

    def turned(tree: Tree) -> None:
        one(tree, "joints", "rail")["screw"]["standard"].reverse()

    found = places(compared(turned, before))
    assert set(found) == RAIL
    assert found["joint", "rail", "list"].when == "Stiffener plate is none."


def test_a_screw_no_longer_used_twice_changes_jobs_and_not_the_joint() -> None:
    def single(tree: Tree) -> None:
        one(tree, "parts", "S.40")["reuse"] = "single"

    found = places(compared(single))
    assert set(found) == {("job", "pump", "list"), ("job", "reseal", "list")}
    assert found["job", "pump", "list"].when == "Stiffener plate is thick."


def test_minutes_are_work_and_no_list() -> None:
    def slower(tree: Tree) -> None:
        one(tree, "steps", "pump_off")["minutes_off"] = 25

    found = places(compared(slower))
    assert set(found) == {("job", "pump", "work")}
    example = found["job", "pump", "work"].example
    assert example is not None
    assert example.sentence == (
        "25 minutes instead of 0; “Take out the pump” takes 25 minutes instead of 0."
    )


def test_tightening_is_the_joints_work() -> None:
    def tightened(tree: Tree) -> None:
        one(tree, "joints", "rail")["tighten"] = {"passes": [{"torque_nm": 30}]}

    found = places(compared(tightened))
    assert set(found) == {("joint", "rail", "work")}
    example = found["joint", "rail", "work"].example
    assert example is not None
    assert example.sentence == "pass 1: 30 Nm added."


def test_a_job_that_is_new_is_told_as_such() -> None:
    def more(tree: Tree) -> None:
        tree["jobs"].append({"code": "pan", "label": "Renew pan", "renew": ["pan"]})

    found = places(compared(more))
    assert set(found) == {("job", "pan", "list")}
    example = found["job", "pan", "list"].example
    assert example is not None
    assert example.before is None
    assert example.after is not None
    assert example.sentence == "It is there now, and was not before."


def test_what_a_part_is_sold_as_counts() -> None:
    def sets(tree: Tree) -> None:
        tree["parts"].append({"number": "SET.1", "name": "Gasket set"})
        contents = [{"part": "W40.4"}]
        part = one(tree, "parts", "W40.4")
        part["sold_as"] = {"number": "SET.1", "contents": contents}

    found = places(compared(sets))
    assert set(found) == RAIL | {("position", "gasket", "list")}
    example = found["position", "gasket", "list"].example
    assert example is not None
    assert example.sentence == (
        "Pan gasket: 1 x W40.4 (Gasket, ordered as SET.1) instead of 1 x W40.4 "
        "(Gasket)."
    )


def test_a_set_that_holds_more_counts_where_fewer_are_ordered() -> None:
    def held(qty: str) -> Edit:
        def edit(tree: Tree) -> None:
            contents = [{"part": "W40.4", "qty": qty}]
            part = one(tree, "parts", "W40.4")
            part["sold_as"] = {"number": "SET.1", "contents": contents}
            if all(p["number"] != "SET.1" for p in tree["parts"]):
                tree["parts"].append({"number": "SET.1", "name": "Gasket set"})

        return edit

    before = engine()
    before["fitments"][3]["qty"] = "3"
    held("2")(before)
    assert named(held("4"), before) == RAIL | {("position", "gasket", "list")}
    assert named(held("2.5"), before) == set()


def test_words_and_conditions_said_otherwise_change_nothing() -> None:
    def reworded(tree: Tree) -> None:
        for kind in ("positions", "joints", "steps", "jobs", "options"):
            for item in tree[kind]:
                item["label"] += " again"
        for part in tree["parts"]:
            part["name"] += " again"
        tree["fitments"][1]["when"] = "not (sump = rear)"
        tree["fitments"].append({**tree["fitments"][3], "when": "plate = none"})
        tree["fitments"][3]["when"] = "plate = thick"
        tree["fitments"].reverse()

    assert named(reworded) == set()
    assert compared(reworded).changes().lists


def test_beyond_the_limit_a_build_that_differs_is_shown_and_not_all_claimed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(contents, "JOB_CASES", 0)
    monkeypatch.setattr(tables, "CASES_MOST", 1)
    found = places(compared(thicker("22", "W40.5")))
    job = found["job", "pump", "list"]
    assert (job.settled, job.complete, job.terms) == (True, False, 0)
    assert job.when == NOT_ALL
    assert job.build is not None
    assert job.build["plate"] == "thick"


def test_beyond_the_limit_what_no_build_shows_is_not_settled(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(contents, "JOB_CASES", 0)
    found = places(compared(a_screw("S.99")))
    assert found == {}

    found = places(compared(lambda tree: tree["steps"].append(
        {"code": "other", "label": "Lower", "frees": ["pan"], "minutes_off": 99}
    )))  # fmt: skip
    job = found["job", "pump", "list"]
    assert (job.settled, job.build, job.when) == (False, None, NOT_SETTLED)


def test_beyond_the_limit_minutes_that_decide_no_way_in_leave_the_list_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(contents, "JOB_CASES", 0)

    def slower(tree: Tree) -> None:
        one(tree, "steps", "pump_off")["minutes_off"] = 25

    found = places(compared(slower))
    assert set(found) == {("job", "pump", "work")}


def engine_state(comparison: Comparison, **answers: str) -> dict[tuple[str, str], str]:
    compiled = comparison.reasoner.compiled
    known = read_answers(compiled, answers)
    return {(t.kind, t.at): t.state for t in comparison.touched(known)}


def test_an_engine_is_touched_by_its_own_build_only() -> None:
    comparison = compared(thicker("22", "W40.5"))
    assert engine_state(comparison, plate="none") == {}
    sure = engine_state(comparison, plate="thick")
    assert sure["joint", "rail"] == "certain"
    assert engine_state(comparison)["joint", "rail"] == "open"


def test_an_engine_with_a_rule_waived_is_compared_by_its_own_build() -> None:
    before = engine()
    before["rules"] = [
        {
            "code": "no_plate",
            "when": "sump = rear",
            "then": "plate = none",
            "because": "The plate is in the way.",
        },
    ]
    del before["fitments"][2]["when"]
    before["fitments"][1]["when"] = "never"

    def only_there(tree: Tree) -> None:
        tree["fitments"][3]["when"] = "not (sump = rear and plate = thick)"
        other = {"position": "gasket", "part": "W40.6"}
        tree["parts"][5]["pads"] = {"rail": {"mm": 1}}
        tree["fitments"].append({**other, "when": "sump = rear and plate = thick"})

    comparison = compared(only_there, before)
    assert [p.at for p in comparison.changes().places] == []
    compiled = comparison.reasoner.compiled
    known = read_answers(compiled, {"sump": "rear", "plate": "thick"})
    waived = comparison.waived(["no_plate"])
    assert waived
    odd = type(known)(known.entries, waived, known.unseen, known.serial)
    touched = {(t.kind, t.at): t.state for t in comparison.touched(odd)}
    assert touched["position", "gasket"] == "certain"
    assert touched["job", "reseal"] == "certain"
