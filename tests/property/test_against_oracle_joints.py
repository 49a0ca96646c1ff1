"""Joints are found wanting where sizing every build by hand finds them wanting.

The oracle sizes the whole joint anew in every build, by trying every combination of
screws of its groups; the proof sizes each distinct combination once.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Mapping
from functools import cache
from typing import Any

import pytest

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.prove import Finding
from bomsvc.core.prove.circuit import extended
from bomsvc.core.prove.ground import Ground
from bomsvc.core.prove.joints import JointProof
from bomsvc.core.prove.subject import Subject
from bomsvc.core.terms.json_text import read_json
from tests.oracle.builds import Build, Model, Tree, read_model, valid_builds
from tests.oracle.documents import Knobs, json_text
from tests.oracle.prove_joints import findings_in, joint_findings, with_alternates
from tests.oracle.workshop import workshop_document
from tests.property.test_against_oracle_work import full_answers

KNOBS = Knobs(options=3, positions=2, rules=1, joints=2, most_builds=60)
COMPARED = {
    "pad_missing",
    "hole_missing",
    "screw_none_fits",
    "screw_stated_fails",
    "screw_stated_overlap",
    "screw_not_listed",
    "screw_thin_margin",
    "screw_overstressed",
    "screw_overstressed (note)",
}


def drop_a_pad(tree: Tree, rng: random.Random) -> None:
    rng.choice([p for p in tree["parts"] if "pads" in p])["pads"] = {}


def drop_a_hole(tree: Tree, rng: random.Random) -> None:
    parts = [p for p in tree["parts"] if "holes" in p]
    if parts:
        rng.choice(parts)["holes"] = {}


def forget_screws(tree: Tree, rng: random.Random) -> None:
    stated = {
        one["part"]
        for joint in tree["joints"]
        for group in joint["groups"]
        for one in group.get("stated", [])
    }
    tree["parts"] = [
        p
        for p in tree["parts"]
        if "screw" not in p or p["number"] in stated or rng.random() < 0.3
    ]


def state_a_screw(tree: Tree, rng: random.Random) -> None:
    joint = rng.choice(tree["joints"])
    group = rng.choice([g for g in joint["groups"] if "stud" not in g])
    thread = joint["screw"]["thread"]
    fitting = [p for p in tree["parts"] if p.get("screw", {}).get("thread") == thread]
    if fitting:
        number = rng.choice(fitting)["number"]
        group["stated"] = [*group.get("stated", []), {"part": number}]


def make_a_hole_shallow(tree: Tree, rng: random.Random) -> None:
    holes = [h for p in tree["parts"] for h in p.get("holes", {}).values()]
    blind = [h for h in holes if "threaded_mm" in h]
    if blind:
        hole = rng.choice(blind)
        hole["threaded_mm"] -= rng.choice((1, 3, 6))


def state_a_torque(tree: Tree, rng: random.Random) -> None:
    joint = rng.choice(tree["joints"])
    one: dict[str, Any] = {"torque_nm": rng.choice((9, 20, 45, 70, 100, 160))}
    if rng.random() < 0.5:
        one["groups"] = [rng.choice(joint["groups"])["code"]]
    joint["tighten"] = {"passes": [{"torque_nm": 5}, one]}


BREAKS = (
    drop_a_pad,
    drop_a_hole,
    forget_screws,
    state_a_screw,
    state_a_screw,
    make_a_hole_shallow,
    state_a_torque,
    state_a_torque,
)


def wanting(seed: int) -> Tree:
    """A generated document whose joints have something wrong, now and then nothing."""
    tree = workshop_document(seed, KNOBS)
    rng = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    for planted in rng.sample(BREAKS, rng.choice((0, 1, 2, 3))):
        planted(tree, rng)
    return tree


def named(finding: Finding) -> tuple[str, str]:
    """The finding as the oracle names it."""
    note = finding.code == "screw_overstressed" and finding.severity == "note"
    return f"{finding.code}{' (note)' if note else ''}", finding.at


def graver(found: set[tuple[str, str]]) -> set[tuple[str, str]]:
    """Leave out notes of what is warned of as well."""
    return {
        (code, at)
        for code, at in found
        if not code.endswith(" (note)") or (code.partition(" ")[0], at) not in found
    }


@cache
def same_findings(seed: int) -> Counter[str]:
    tree = wanting(seed)
    compiled = compile_catalogue(read_catalogue(read_json(json_text(tree))))
    subject, model = Subject(compiled), read_model(tree)
    proof = JointProof(subject, Ground(extended(compiled, subject.circuit)))
    joints = subject.standing.joints.values()
    findings = [f for joint in joints for f in proof.findings_of(joint)]
    found = {named(f): f for f in findings}
    compared = {name for name in found if name[0] in COMPARED}
    assert compared == graver(joint_findings(model))
    builds = {unordered(full_answers(b)): b for b in valid_builds(model)}
    for name in compared:
        shown = found[name].build
        assert shown is not None
        assert shows(model, name, builds[unordered(shown.answers)])
    return Counter(code for code, _ in compared)


def unordered(answers: Mapping[str, Any]) -> frozenset[tuple[str, Any]]:
    """Answers as they can be compared, whatever their order."""
    return frozenset(
        (key, frozenset(value) if isinstance(value, list) else value)
        for key, value in answers.items()
    )


def shows(model: Model, finding: tuple[str, str], build: Build) -> bool:
    """Whether the build that is shown has the fault, some alternate perhaps in it."""
    joint = finding[1].rpartition(".")[0]
    code = finding[0].partition(" ")[0]
    return any(
        (one.partition(" ")[0], at) == (code, finding[1])
        for other, _ in with_alternates(model)
        for one, at in findings_in(other, joint, build)
    )


@pytest.mark.parametrize("seed", range(40))
def test_joints_are_found_wanting_where_a_build_shows_it(seed: int) -> None:
    same_findings(seed)


def test_every_kind_of_finding_is_compared() -> None:
    met: Counter[str] = Counter()
    for seed in range(40):
        met += same_findings(seed)
    assert set(met) == COMPARED, met


@pytest.mark.long
@pytest.mark.parametrize("seed", range(1_000, 2_000))
def test_many_more_joints_are_found_wanting_where_a_build_shows_it(seed: int) -> None:
    same_findings(seed)
