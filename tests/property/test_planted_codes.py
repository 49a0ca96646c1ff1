"""Every code of the proof's list, planted in generated catalogues: found, and shown.

The counter-example is taken to the counter: a list for that very build has the fault.
"""

from __future__ import annotations

import pytest

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.budget import Budget
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.prove import Finding, prove
from bomsvc.core.prove.findings import SEVERITY
from bomsvc.core.prove.ground import PROOF_BUDGET
from bomsvc.core.resolve import Resolved, read_scope, resolve
from bomsvc.core.terms.json_text import read_json
from tests.oracle.documents import Knobs, json_text
from tests.oracle.workshop import workshop_document
from tests.property.planted_trim import PLANTS
from tests.property.trim import Tree, with_trim

KNOBS = Knobs(options=3, positions=3, rules=1, joints=1, steps=2, jobs=1)
SEEDS = (3, 8)
TINY = Budget(conflicts=20)

SCOPES = {
    "positions": {"positions": ["trim_cover", "trim_washer"]},
    "joints": {"joints": ["trim_rim"]},
    "jobs": {"jobs": ["trim"]},
}
LISTED_UNDER = {
    "position_gap": "positions",
    "position_overlap": "positions",
    "quantity_by_holes": "positions",
    "pad_missing": "joints",
    "hole_missing": "joints",
    "screw_unknown": "joints",
    "screw_none_fits": "joints",
    "screw_not_listed": "joints",
    "screw_stated_fails": "joints",
    "screw_stated_overlap": "joints",
    "position_stuck": "jobs",
    "joint_never_opened": "jobs",
    "needs_cycle": "jobs",
}
"""Codes that are faults of a list as well, and the scope that shows them."""
SHOWS_NO_BUILD = {
    "no_valid_build",
    "dead_choice",
    "forced_choice",
    "idle_option",
    "option_unaskable",
    "condition_never",
    "condition_always",
    "rule_never_applies",
    "rule_redundant",
    "fitment_dead",
    "part_unused",
    "hole_unplaced",
    "quantity_by_holes",
    "not_proven",
}
"""What is so in all builds, or in the document; there is no build to show."""


def generated(seed: int) -> Tree:
    return with_trim(workshop_document(seed, KNOBS))


def compiled_of(tree: Tree) -> Compiled:
    return compile_catalogue(read_catalogue(read_json(json_text(tree))))


def planted(code: str, seed: int) -> tuple[Compiled, Finding]:
    tree = generated(seed)
    at = PLANTS[code](tree)
    compiled = compiled_of(tree)
    budget = TINY if code == "not_proven" else PROOF_BUDGET
    report = prove(compiled, budget=budget)
    found = [f for f in report.findings if (f.code, f.at) == (code, at)]
    assert found, (at, [(f.code, f.at) for f in report.findings])
    return compiled, found[0]


def test_every_code_of_the_list_has_a_plant() -> None:
    assert set(PLANTS) == set(SEVERITY)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_trim_is_without_fault_before_anything_is_planted(seed: int) -> None:
    report = prove(compiled_of(generated(seed)))
    assert [f for f in report.findings if "trim" in f.at or "T." in f.at] == []


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("code", PLANTS)
def test_what_is_planted_is_found_and_shown_in_a_build_that_has_it(
    code: str, seed: int
) -> None:
    compiled, finding = planted(code, seed)
    assert finding.severity == SEVERITY[code] or code == "joint_never_opened"
    if code in SHOWS_NO_BUILD:
        assert finding.build is None
        return
    assert finding.build is not None
    assert finding.build.answers["trim"] == "rich"
    assert "trim is rich" in str(finding.shown)
    if code in LISTED_UNDER:
        assert (code, finding.at) in faults_of(compiled, finding, LISTED_UNDER[code])


def faults_of(compiled: Compiled, finding: Finding, scope: str) -> set[tuple[str, str]]:
    """The faults of a list for the build that the finding shows."""
    assert finding.build is not None
    known = read_answers(compiled, finding.build.answers)
    wanted = dict(SCOPES[scope])
    places = compiled.standing.positions
    if "positions" in wanted:
        wanted["positions"] = [p for p in wanted["positions"] if p in places]
    reply = resolve(Reasoner(compiled), known, read_scope(compiled, wanted))
    assert isinstance(reply, Resolved)
    return {(fault.code, fault.at) for fault in reply.faults}
