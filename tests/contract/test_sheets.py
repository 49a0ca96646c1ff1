"""The joint sheet of the demo engine, over REST's reply and the command line."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest
from defusedxml import ElementTree

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Resolved, read_scope, resolve
from bomsvc.service.replies.resolve import resolve_reply
from tests.contract.test_cli import Shell
from tests.unit.fasteners.joints import said_in

SEED = Path(__file__).parents[2] / "seed"
JOINTS = ("pan_rail", "front_cover_rim", "damper_nose")


@pytest.mark.parametrize("joint", JOINTS)
def test_an_asked_joint_has_its_sheet_with_a_drawing_of_every_stack(
    whimbrel_reasoner: Reasoner, joint: str
) -> None:
    found = listed(whimbrel_reasoner, joint)
    form = only_joint(resolve_reply(found, sheets={joint}))
    groups = {group for row in form["sheet"]["rows"] for group in row["groups"]}
    assert groups == {group["group"] for group in form["groups"]}
    assert form["sheet"]["stacks"]
    for drawn in (form["svg"], *(s["svg"] for s in form["sheet"]["stacks"])):
        assert ElementTree.fromstring(drawn).tag.endswith("svg")
        assert "style=" not in drawn
    assert form["sheet"]["cautions"]
    assert only_joint(resolve_reply(found))["sheet"] is None


def test_parts_that_make_the_same_stack_need_not_be_told_apart_for_the_drawing(
    whimbrel_reasoner: Reasoner,
) -> None:
    known = read_answers(whimbrel_reasoner.compiled, {"use": "boat"})
    scope = read_scope(whimbrel_reasoner.compiled, {"joints": ["rocker_rail"]})
    found = resolve(whimbrel_reasoner, known, scope)
    assert isinstance(found, Resolved)
    form = only_joint(resolve_reply(found, sheets={"rocker_rail"}))
    assert form["svg"]
    # Which of two covers it is, with or without a filler neck, is not known.
    (stack,) = form["sheet"]["stacks"]
    assert "Rocker cover 9 mm" in said_in(stack["svg"])


def listed(reasoner: Reasoner, joint: str) -> Resolved:
    """The joint of the engine on file whose build is known in full."""
    with (SEED / "engines.csv").open(encoding="utf-8", newline="") as rows:
        engine = next(r for r in csv.DictReader(rows) if r["serial"] == "N210440")
    known = read_answers(reasoner.compiled, json.loads(engine["answers"]))
    scope = read_scope(reasoner.compiled, {"joints": [joint]})
    found = resolve(reasoner, known, scope)
    assert isinstance(found, Resolved)
    return found


def only_joint(reply: dict[str, Any]) -> dict[str, Any]:
    joints: list[dict[str, Any]] = reply["joints"]
    assert len(joints) == 1
    return joints[0]


@pytest.fixture
def shell(tmp_path: Path, sqlite_url: str) -> Shell:
    return Shell(tmp_path, sqlite_url)


def test_the_command_line_draws_the_sheet(shell: Shell, tmp_path: Path) -> None:
    assert shell("demo").exit_code == 0
    done = shell(
        "sheet", "N210440", "--joint", "pan_rail", "--out", str(tmp_path / "drawn")
    )
    assert done.exit_code == 0, done.output
    names = sorted(path.name for path in (tmp_path / "drawn").glob("*.svg"))
    assert names[0] == "pan_rail-stack-1.svg"
    assert "pan_rail.svg" in names
    assert "M8 x 50" in done.output


def test_an_unknown_joint_is_refused_with_the_nearest(shell: Shell) -> None:
    assert shell("demo").exit_code == 0
    done = shell("sheet", "N210440", "--joint", "pan_rial")
    assert done.exit_code == 2
    assert "pan_rail" in done.output
