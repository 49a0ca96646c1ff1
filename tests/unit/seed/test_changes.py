"""Revisions of the demo compared: what an edit names is what the counter would see."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import Any

import pytest

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.prove.changes import Changed, Changes, Comparison
from bomsvc.core.resolve import Resolved, read_scope, resolve
from bomsvc.core.terms.json_text import read_json
from tests.oracle.documents import json_text
from tests.unit.seed.conftest import Demo

Tree = dict[str, Any]


def edited(demo: Demo, edit: Callable[[Tree], None]) -> Comparison:
    """The comparison with an edited copy."""
    text = demo.catalogue.canonical
    tree: Tree = json.loads(text, parse_float=Decimal)
    edit(tree)
    after = read_catalogue(read_json(json_text(tree)))
    return Comparison(demo.catalogue, after)


def named(changes: Changes, kind: str, differs: str = "list") -> list[Changed]:
    return [p for p in changes.places if (p.kind, p.differs) == (kind, differs)]


def soft_layers(tree: Tree) -> Iterator[tuple[str, list[Tree]]]:
    """Each joint with the pads of its soft layers."""
    parts = {part["number"]: part for part in tree["parts"]}
    for joint in tree["joints"]:
        pads = [
            parts[fitment["part"]].get("pads", {}).get(layer["pad"], {})
            for group in joint.get("groups", [])
            for layer in group.get("layers", [])
            for fitment in tree["fitments"]
            if fitment["position"] == layer["position"].partition("[")[0]
        ]
        soft = [pad for pad in pads if pad.get("soft")]
        if soft and "screw" in joint:
            yield joint["code"], soft


def test_the_demo_does_not_differ_from_itself(demo: Demo) -> None:
    changes = edited(demo, lambda _: None).changes()
    assert (changes.lists, changes.places, changes.one_only) == ({}, (), ())


def test_words_alone_change_no_list(demo: Demo) -> None:
    def reworded(tree: Tree) -> None:
        for kind in ("positions", "joints", "steps", "jobs"):
            for item in tree[kind]:
                item["label"] += " again"
        for part in tree["parts"]:
            part["name"] += " again"
        for fitment in tree["fitments"]:
            if "when" in fitment:
                fitment["when"] = f"not (not ({fitment['when']}))"

    changes = edited(demo, reworded).changes()
    assert changes.lists
    assert changes.places == ()


def test_a_much_thicker_gasket_names_the_joint_and_the_jobs_that_meet_it(
    demo: Demo,
) -> None:
    joints = []

    def thicker(tree: Tree) -> None:
        *_, (joint, pads) = soft_layers(tree)
        joints.append(joint)
        for pad in pads:
            pad["mm"] += 6

    changes = edited(demo, thicker).changes()
    assert joints[0] in {p.at.partition("[")[0] for p in named(changes, "joint")}
    assert named(changes, "position") == []
    assert named(changes, "job", "work") == []
    jobs = named(changes, "job")
    assert jobs
    told = (job.example for job in jobs if job.settled)
    assert all("instead of" in one.sentence for one in told if one is not None)


@pytest.mark.long
def test_slower_work_is_work_of_the_jobs_that_do_it(demo: Demo) -> None:
    steps = []

    def slower(tree: Tree) -> None:
        step = max(tree["steps"], key=lambda s: s.get("minutes_off", 0))
        step["minutes_off"] += 1
        steps.append(step["code"])

    changes = edited(demo, slower).changes()
    work = named(changes, "job", "work")
    assert work
    told = (p.example for p in work)
    assert all("minutes instead of" in e.sentence for e in told if e is not None)
    assert named(changes, "joint") == named(changes, "position") == []


def screws_of(found: Resolved) -> list[tuple[str | None, Decimal]]:
    """The lines of a list as numbers and quantities."""
    return [(line.part, line.qty) for line in found.lines]


def test_the_build_shown_is_a_full_answer_that_shows_the_difference(
    demo: Demo,
) -> None:
    def thicker(tree: Tree) -> None:
        *_, (_, pads) = soft_layers(tree)
        for pad in pads:
            pad["mm"] += 4

    comparison = edited(demo, thicker)
    before, after = (
        Reasoner(compile_catalogue(layout.compiled.catalogue))
        for layout in comparison.layouts
    )
    shown = [p for p in comparison.changes().places if p.build is not None]
    assert len(shown) > 20
    for place in shown:
        lists = []
        for reasoner in (before, after):
            scope = read_scope(reasoner.compiled, {f"{place.kind}s": [place.at]})
            known = read_answers(reasoner.compiled, dict(place.build or {}))
            found = resolve(reasoner, known, scope)
            assert isinstance(found, Resolved), place.at
            assert found.open == (), place.at
            lists.append(screws_of(found))
        assert lists[0] != lists[1], place.at
