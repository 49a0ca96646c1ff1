"""Faults planted in the demo engine, as its editor reads them: whole sentences.

The demo is read, one thing in it is changed, and all that the proof then says is
compared with the text that an editor would find. What the demo is noted for anyway is
left out, and so is anything that the change does not touch.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.prove import Finding, prove
from bomsvc.core.resolve import Resolved, read_scope, resolve
from bomsvc.core.terms.json_text import read_json
from bomsvc.intake.document import read_document
from tests.oracle.documents import json_text

SEED = Path(__file__).parents[3] / "seed" / "catalogues" / "whimbrel.yaml"
Tree = dict[str, Any]


@cache
def canonical() -> bytes:
    return read_document(SEED.read_bytes(), "yaml").canonical


def demo() -> Tree:
    tree: Tree = json.loads(canonical(), parse_float=Decimal)
    return tree


@cache
def found_before() -> frozenset[tuple[str, str, str]]:
    return frozenset(map(_identity, found_in(demo())))


def found_in(tree: Tree) -> list[Finding]:
    catalogue = read_catalogue(read_json(json_text(tree)))
    return list(prove(compile_catalogue(catalogue)).findings)


def new_in(tree: Tree) -> list[Finding]:
    """What the proof says that it did not say before."""
    return [f for f in found_in(tree) if _identity(f) not in found_before()]


def _identity(finding: Finding) -> tuple[str, str, str]:
    return finding.code, finding.at, finding.detail


def the(items: list[Tree], **fields: str) -> Tree:
    (found,) = (
        item for item in items if all(item.get(k) == v for k, v in fields.items())
    )
    return found


def part_on_the_line(answers: Tree, joint: str, group: str) -> str:
    """The screw that the demo's list has for a group of holes."""
    catalogue = read_catalogue(read_json(json_text(demo())))
    reasoner = Reasoner(compile_catalogue(catalogue))
    known = read_answers(reasoner.compiled, answers)
    scope = read_scope(reasoner.compiled, {"joints": [joint]})
    reply = resolve(reasoner, known, scope)
    assert isinstance(reply, Resolved)
    (part,) = {
        line.part
        for line in reply.lines
        for place in line.places
        if str(place) == f"{joint}.{group}"
    }
    assert part is not None
    return str(part)


def forget_a_sump(tree: Tree) -> None:
    sump = the(tree["fitments"], position="pan", part="W40.1183")
    tree["fitments"].remove(sump)


def list_two_sumps(tree: Tree) -> None:
    sump = the(tree["fitments"], position="pan", part="W40.1186")
    sump["when"] = "pan = cast and (sump = centre or sump = front)"


def thin_the_heel_of_a_sump_with_a_heater(tree: Tree) -> None:
    """State the heel's screw for cast sumps; one rare sump has a thinner heel."""
    screw = part_on_the_line({"pan": "cast", "sump": "front"}, "pan_rail", "rear")
    groups = the(tree["joints"], code="pan_rail")["groups"]
    the(groups, code="rear")["stated"] = [{"part": screw, "when": "pan = cast"}]
    rare = copy.deepcopy(the(tree["parts"], number="W40.1185"))
    rare |= {"number": "W40.9185", "name": "Sump, cast, front well, for a heater"}
    rare["pads"]["heel"]["mm"] -= 12
    tree["parts"].append(rare)
    usual = the(tree["fitments"], position="pan", part="W40.1185")
    when = usual["when"]
    usual["when"] = f"{when} and extras != heater"
    with_heater = {"part": "W40.9185", "when": f"{when} and extras = heater"}
    tree["fitments"].append(usual | with_heater)


def forget_what_the_sump_opens(tree: Tree) -> None:
    del the(tree["steps"], code="pan_off_raised")["opens"]


def let_sump_and_pickup_wait(tree: Tree) -> None:
    for way_in in ("pan_off_raised", "pan_off_turned"):
        the(tree["steps"], code=way_in)["needs"].append("pickup")


GOLDEN: dict[Callable[[Tree], None], str] = {
    forget_a_sump: (
        "fault position_gap at pan: Sump must hold one part where it exists, and in "
        "this build none is listed: W40.1181 (Sump, pressed, front well), W40.1182 "
        "(Sump, pressed, centre well), W40.1185 (Sump, cast, front well) and 2 more "
        "do not apply. The usual build, except make of the sump is pressed steel and "
        "serial number up to 202999."
    ),
    list_two_sumps: (
        "fault position_overlap at pan: Sump holds one part at a time, and in this "
        "build 2 are listed: W40.1185 (Sump, cast, front well) and W40.1186 (Sump, "
        "cast, centre well). The usual build, except well of the sump is front well."
    ),
    thin_the_heel_of_a_sump_with_a_heater: (
        "fault screw_stated_fails at pan_rail.rear: Sump to block, Heel, into the rear "
        "seal carrier: W80.0850 is stated. A length of 50 mm bottoms out: 4.95 mm too "
        "long for the hole. By the sizing, ISO 15071 - M8 x 40 - 8.8 would do. The "
        "usual build, except well of the sump is front well and with sump heater "
        "(extras)."
    ),
    forget_what_the_sump_opens: (
        "fault forgotten_gasket at pan_off_raised: 'Take the sump off under the raised "
        "engine' takes out Sump, which the joint 'Sump to block' clamps, and in this "
        "build neither it nor what it needs opens or loosens that joint: its gaskets "
        "and screws would be forgotten. The usual build."
    ),
    let_sump_and_pickup_wait: (
        "fault needs_cycle at pan_off_raised: The job 'Reseal the sump' cannot be done "
        "in this build: 'Take the sump off under the raised engine' and 'Take the oil "
        "pickup off' wait on one another. The usual build, except duty is workboat "
        "and cooling is keel cooler."
    ),
}
ALONE = (thin_the_heel_of_a_sump_with_a_heater, let_sump_and_pickup_wait)
"""Plants of which nothing else follows: no other sump, joint or step has a fault."""


def as_read(finding: Finding) -> str:
    """A finding as it stands in the report."""
    shown = "" if finding.shown is None else f" {finding.shown}"
    return f"{finding.severity} {finding.code} at {finding.at}: {finding.detail}{shown}"


@cache
def new_by(plant: Callable[[Tree], None]) -> list[Finding]:
    tree = demo()
    plant(tree)
    return new_in(tree)


@pytest.mark.parametrize("plant", GOLDEN, ids=lambda plant: plant.__name__)
def test_a_planted_fault_is_told_in_words_with_the_build_that_shows_it(
    plant: Callable[[Tree], None],
) -> None:
    told = GOLDEN[plant]
    same = [f for f in map(as_read, new_by(plant)) if f.split(":")[0] in told]
    assert same == [told]


@pytest.mark.parametrize("plant", ALONE, ids=lambda plant: plant.__name__)
def test_one_cause_is_told_once(plant: Callable[[Tree], None]) -> None:
    assert list(map(as_read, new_by(plant))) == [GOLDEN[plant]]


def test_the_build_shown_for_a_screw_that_bottoms_out_has_that_sump() -> None:
    (finding,) = new_by(thin_the_heel_of_a_sump_with_a_heater)
    assert finding.build is not None
    answers = finding.build.answers
    assert (answers["pan"], answers["sump"]) == ("cast", "front")
    assert "heater" in list(answers["extras"])  # type: ignore[arg-type]
    assert finding.pointer.startswith("/joints/")
