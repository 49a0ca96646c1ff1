"""Whether each job can be done in every build, held against every set of steps.

Three ways of finding out are compared: the proof's one question, planning in each
build, and the oracle, which tries every set of steps in every build. The documents
wait, owe and renew in circles more than any catalogue would.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.builds import Build as CoreBuild
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.logic.standing import FALSE, Key
from bomsvc.core.prove.asked import Asked, job_node
from bomsvc.core.prove.circuit import extended
from bomsvc.core.prove.findings import Finding
from bomsvc.core.prove.ground import Beside, Ground
from bomsvc.core.prove.jobs import JobProof
from bomsvc.core.prove.refusal import Refusals, refusable
from bomsvc.core.prove.subject import Subject
from bomsvc.core.terms.json_text import read_json
from bomsvc.core.work.feasible import stuck_in
from tests.oracle.builds import Build, Model, Tree, read_model, valid_builds
from tests.oracle.documents import Knobs, json_text
from tests.oracle.lists import keys_of
from tests.oracle.mended import cannot_be_done
from tests.oracle.work import comes_off, opened, setting_of
from tests.oracle.workshop import workshop_document

KNOBS = Knobs(
    options=3, positions=4, rules=1, joints=2, steps=3, jobs=3, most_builds=40
)
MOST_STEPS = 7


def circular(seed: int) -> Tree:
    """A generated workshop whose steps and parts are tied much more closely."""
    tree = workshop_document(seed, KNOBS)
    rng = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    steps = [step for step in tree["steps"] if "each" not in step]
    if len(steps) > 1:
        for _ in range(rng.choice((0, 1, 2))):
            one, other = rng.sample(steps, 2)
            _add(one, "needs", other["code"])
        for _ in range(rng.choice((0, 1, 2, 3))):
            one, other = rng.sample(steps, 2)
            _add(one, "then", other["code"])
        if rng.random() < 0.4:
            one, other = rng.sample(steps, 2)
            _add(one, "needs", other["code"])
            _add(other, "needs", one["code"])
    for step in rng.sample(steps, k=min(2, len(steps))):
        if rng.random() < 0.4:
            step["exists"] = _some_condition(tree, rng)
    _free_layers(tree, rng)
    _tie_parts(tree, rng)
    _bring_along(tree, rng)
    if rng.random() < 0.3:
        tree["fitments"].remove(rng.choice(tree["fitments"]))
    return tree


def _free_layers(tree: Tree, rng: random.Random) -> None:
    """Layers come off by steps that need not open their joint."""
    layers = [
        layer["position"]
        for joint in tree.get("joints", [])
        for group in joint["groups"]
        for layer in group["layers"]
    ]
    for step in tree["steps"]:
        if step["code"].startswith("undo_") and rng.random() < 0.5:
            step.pop("frees", None)
        elif layers and rng.random() < 0.4:
            _add(step, "frees", rng.choice(layers))


def _add(step: Tree, field: str, code: str) -> None:
    if code not in step.get(field, []):
        step[field] = [*step.get(field, []), code]


def _some_condition(tree: Tree, rng: random.Random) -> str:
    options = [option for option in tree["options"] if "each" not in option]
    option = rng.choice(options)
    return f"{option['code']} = {rng.choice(option['choices'])['code']}"


def _tie_parts(tree: Tree, rng: random.Random) -> None:
    """Parts that are renewed with one another, now and then in a circle; singles."""
    plain = [p["code"] for p in tree["positions"] if "each" not in p]
    sits_in: dict[str, set[str]] = {}
    for fitment in tree["fitments"]:
        sits_in.setdefault(fitment["part"], set()).add(fitment["position"])
    for part in tree["parts"]:
        if "screw" in part or part["number"] not in sits_in:
            continue
        others = [code for code in plain if code not in sits_in[part["number"]]]
        if others and "renew_with" not in part and rng.random() < 0.25:
            part["renew_with"] = [rng.choice(others)]
        part["reuse"] = rng.choice(("freely", "freely", "single"))


def _bring_along(tree: Tree, rng: random.Random) -> None:
    """What is to be renewed with a part comes with it too, or with one between.

    Often no step frees it; the part that brings it sits there in some builds only.
    """
    plain = [p["code"] for p in tree["positions"] if "each" not in p]
    for job in tree["jobs"]:
        here = next((c for c in job.get("renew", []) if c in plain), None)
        others = [code for code in plain if code != here]
        if here is None or len(others) < 2 or rng.random() < 0.3:
            continue
        between, inside = rng.sample(others, 2)
        by = rng.choice((here, between))
        ties = [(here, "renew_with", between), (between, "renew_with", inside)]
        ties.append((by, "includes", inside))
        for code, field, other in ties:
            _tie_some(tree, rng, code, field, other)
        if rng.random() < 0.5:
            for step in tree["steps"]:
                kept = [code for code in step.get("frees", []) if code != inside]
                step |= {"frees": kept} if "frees" in step else {}


def _tie_some(
    tree: Tree, rng: random.Random, code: str, field: str, other: str
) -> None:
    sits_in: dict[str, set[str]] = {}
    for fitment in tree["fitments"]:
        sits_in.setdefault(fitment["part"], set()).add(fitment["position"])
    for part in tree["parts"]:
        where = sits_in.get(part["number"], set())
        if code in where and other not in where and rng.random() < 0.7:
            _add(part, field, other)


@dataclass
class World:
    """One document, as the oracle and as the proof reads it."""

    model: Model
    subject: Subject
    asked: Asked
    ground: Ground
    refusals: Refusals
    beside: Beside


def world_of(tree: Tree) -> World:
    compiled = compile_catalogue(read_catalogue(read_json(json_text(tree))))
    subject = Subject(compiled)
    asked = Asked(subject)
    ground = Ground(extended(compiled, subject.circuit))
    top = ground.compiled.model.top
    refusals = Refusals(refusable(asked.reasons), top)
    beside = ground.beside(refusals.clauses())
    return World(read_model(tree), subject, asked, ground, refusals, beside)


def as_literals(compiled: Compiled, build: Build) -> Iterator[int]:
    """The literals that fix a build of the oracle's."""
    for key, value in build.items():
        have = {value} if isinstance(value, str) else value or set()
        for code, lit in compiled.options[Key(key)].choices.items():
            yield lit if code in have else -lit


def refused(world: World, job: Key, literals: list[int]) -> bool:
    lit = world.refusals.refused(job_node(job))
    return lit != FALSE and world.beside.possible([lit, *literals])


def check_each_build(seed: int) -> int:
    """Compare every job in every build; the number of jobs that cannot be done."""
    world = world_of(circular(seed))
    if len(keys_of(world.model, "steps")) > MOST_STEPS:
        return 0
    known: dict[str, bool] = {}
    never = 0
    for build in valid_builds(world.model):
        literals = list(as_literals(world.ground.compiled, build))
        core: CoreBuild = world.beside.least(literals)
        for job in world.subject.standing.jobs:
            setting = setting_of(world.model, [job], build)
            signature = setting.signature()
            if signature not in known:
                known[signature] = cannot_be_done(setting)
            planned = stuck_in(world.asked.shop, core.truth, [job])
            assert (planned is not None) == known[signature], (job, build)
            assert refused(world, job, literals) == known[signature], (job, build)
            never += known[signature]
    return never


def check_findings(seed: int) -> int:
    """Every finding is so; once all are mended every job can be done everywhere."""
    world = world_of(circular(seed))
    if len(keys_of(world.model, "steps")) > MOST_STEPS:
        return 0
    proof = JobProof(world.subject, world.ground, world.asked)
    found = [f for job in world.subject.standing.jobs for f in proof.findings_of(job)]
    assert len({(f.code, f.at) for f in found}) == len(found)
    by_answers = {}
    for build in valid_builds(world.model):
        core = world.beside.least(list(as_literals(world.ground.compiled, build)))
        by_answers[repr(core.answers)] = build
    for finding in found:
        assert finding.build is not None
        _shows(world.model, finding, by_answers[repr(finding.build.answers)])
    causes = {(f.code, f.at) for f in found}
    for build in by_answers.values():
        for job in world.subject.standing.jobs:
            setting = setting_of(world.model, [job], build)
            assert not cannot_be_done(setting, causes), (job, build, causes)
    return len(found)


def _shows(model: Model, finding: Finding, build: Build) -> None:
    """The build has the fault, by trying every set of steps."""
    jobs = list(keys_of(model, "jobs"))
    settings = [setting_of(model, [job], build) for job in jobs]
    assert any(map(cannot_be_done, settings))
    setting = settings[0]
    match finding.code:
        case "position_stuck":
            assert finding.at not in comes_off(setting, setting.steps)
        case "joint_never_opened":
            assert finding.at not in opened(setting, setting.steps)
        case "needs_cycle":
            setting.asked.renew.clear()
            setting.asked.reseal.clear()
            setting.asked.do = {finding.at}
            assert cannot_be_done(setting)


@pytest.mark.parametrize("seed", range(24))
def test_a_job_is_refused_in_the_builds_in_which_no_set_of_steps_does_it(
    seed: int,
) -> None:
    check_each_build(seed)


@pytest.mark.parametrize("seed", range(24))
def test_what_is_told_of_jobs_is_so_and_is_all_that_stands_in_the_way(
    seed: int,
) -> None:
    check_findings(seed)


def test_the_documents_hold_jobs_that_can_be_done_and_others() -> None:
    stuck = [check_findings(seed) for seed in range(30)]
    assert stuck.count(0) >= 3
    assert sum(map(bool, stuck)) >= 10


@pytest.mark.long
@pytest.mark.parametrize("seed", range(1_000, 1_700))
def test_many_more_jobs_are_refused_where_no_set_of_steps_does_them(seed: int) -> None:
    check_each_build(seed)
    check_findings(seed)
