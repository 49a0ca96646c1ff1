"""The proof finds what looking at every valid build finds, and nothing else."""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.prove import Report, prove
from bomsvc.core.terms.json_text import read_json
from tests.oracle.builds import Model, read_model, valid_builds
from tests.oracle.documents import Knobs, Tree, document, json_text
from tests.oracle.lists import keys_of
from tests.oracle.mended import cannot_be_done
from tests.oracle.prove import findings
from tests.oracle.work import Setting, comes_off, setting_of
from tests.oracle.workshop import workshop_document

PLAIN = Knobs(options=5, positions=5, rules=2, most_builds=150, variety=True)
WORK = Knobs(options=3, positions=3, rules=1, joints=1, steps=4, jobs=2, most_builds=40)

COMPARED = {
    "no_valid_build",
    "dead_choice",
    "forced_choice",
    "rule_never_applies",
    "rule_redundant",
    "position_gap",
    "position_overlap",
    "position_empty",
    "fitment_dead",
    "part_unused",
    "position_stuck",
    "forgotten_gasket",
    "joint_never_opened",
    "job_idle",
}


@cache
def broken(seed: int, knobs: Knobs) -> tuple[Tree, Model, Compiled]:
    """A generated document with something broken in it, now and then nothing."""
    make = workshop_document if knobs.joints else document
    tree = make(seed, knobs)
    rng = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    for planted in rng.sample(BREAKS, rng.choice((0, 1, 1, 2))):
        planted(tree, rng)
    catalogue = read_catalogue(read_json(json_text(tree)))
    return tree, read_model(tree), compile_catalogue(catalogue)


def forget_a_fitment(tree: Tree, rng: random.Random) -> None:
    if len(tree["fitments"]) > 1:
        tree["fitments"].remove(rng.choice(tree["fitments"]))


def fit_a_part_everywhere(tree: Tree, rng: random.Random) -> None:
    rng.choice(tree["fitments"]).pop("when", None)


def fit_a_part_nowhere(tree: Tree, rng: random.Random) -> None:
    rng.choice(tree["fitments"])["when"] = "never"


def forbid_a_choice(tree: Tree, rng: random.Random) -> None:
    option = rng.choice([o for o in tree["options"] if "each" not in o])
    choice = rng.choice(option["choices"])["code"]
    rule = {"code": "planted", "then": f"{option['code']} != {choice}"}
    tree["rules"].append(rule | {"because": "planted"})


def repeat_a_rule(tree: Tree, rng: random.Random) -> None:
    if tree["rules"]:
        rule = dict(rng.choice(tree["rules"]))
        tree["rules"].append(rule | {"code": "repeated"})


def leave_a_part_over(tree: Tree, rng: random.Random) -> None:
    del rng
    tree["parts"].append({"number": "W40.9999", "name": "left over"})


def forget_what_a_step_frees(tree: Tree, rng: random.Random) -> None:
    if tree.get("steps"):
        rng.choice(tree["steps"]).pop("frees", None)


def forget_what_a_step_opens(tree: Tree, rng: random.Random) -> None:
    if tree.get("steps"):
        rng.choice(tree["steps"]).pop("opens", None)


def let_steps_wait(tree: Tree, rng: random.Random) -> None:
    steps = [s for s in tree.get("steps", []) if "each" not in s]
    if len(steps) > 1:
        one, other = rng.sample(steps, 2)
        for step, needed in ((one, other), (other, one)):
            needs = [n for n in step.get("needs", []) if n != needed["code"]]
            step["needs"] = [*needs, needed["code"]]


def lift_an_assembly_whole(tree: Tree, rng: random.Random) -> None:
    """A clamped part brings what its joint clamps, or nearly; a step lifts it out."""
    joint = rng.choice(tree["joints"])
    clamped = [layer["position"] for g in joint["groups"] for layer in g["layers"]]
    intos = [joint["into"], *(g["into"] for g in joint["groups"] if "into" in g)]
    clamped += [into["position"] for into in intos if "hole" in into]
    clamped = list(dict.fromkeys(clamped))
    lifted = rng.choice(clamped)
    others = [code for code in clamped if code != lifted]
    if others and rng.random() < 0.25:
        others.remove(rng.choice(others))
    if len(others) > 1 and rng.random() < 0.4:
        # What comes with it brings the rest.
        _include(tree, rng, others[0], others[1:])
        others = others[:1]
    _include(tree, rng, lifted, others)
    step = {"code": "lift_whole", "label": "lift", "frees": [lifted], "minutes_off": 5}
    tree["steps"].append(step)


def _include(tree: Tree, rng: random.Random, code: str, others: list[str]) -> None:
    numbers = {f["part"] for f in tree["fitments"] if f["position"] == code}
    for part in tree["parts"]:
        if part["number"] in numbers and rng.random() < 0.9:
            part["includes"] = others


NO_WAY_IN = {"position_stuck", "needs_cycle", "joint_never_opened"}
MOST_STEPS = 9
BREAKS: tuple[Any, ...] = (
    forget_a_fitment,
    fit_a_part_everywhere,
    fit_a_part_nowhere,
    forbid_a_choice,
    repeat_a_rule,
    leave_a_part_over,
    forget_what_a_step_frees,
    forget_what_a_step_opens,
    let_steps_wait,
)


def named(report: Report) -> Iterator[tuple[str, str]]:
    """Findings as the oracle names them."""
    for finding in report.findings:
        at = finding.at
        if finding.code == "fitment_dead":
            at = f"{at.partition('[')[0]}/{finding.pointer.rpartition('/')[2]}"
        yield finding.code, at


def expected(tree: Tree, model: Model) -> set[tuple[str, str]]:
    # The oracle says nothing of screws that are on offer.
    screws = {part["number"] for part in tree["parts"] if "screw" in part}
    return {f for f in findings(model) if f[0] in COMPARED and f[1] not in screws}


def same_findings(seed: int, knobs: Knobs) -> set[str]:
    return agreeing(*broken(seed, knobs))


def lifted_whole(seed: int) -> set[str]:
    """Compare a workshop whose step lifts an assembly; the codes found at it."""
    tree = workshop_document(seed, WORK)
    lift_an_assembly_whole(tree, random.Random(seed))  # noqa: S311 - repeatable
    compiled = compile_catalogue(read_catalogue(read_json(json_text(tree))))
    return agreeing(tree, read_model(tree), compiled)


def agreeing(tree: Tree, model: Model, compiled: Compiled) -> set[str]:
    """Compare the findings of proof and oracle; return their codes."""
    report = prove(compiled)
    screws = {part["number"] for part in tree["parts"] if "screw" in part}
    found = {f for f in named(report) if f[0] in COMPARED and f[1] not in screws}
    wanted = expected(tree, model)
    assert found >= wanted
    # What a job needs off and no step frees is told as well as what it renews.
    more = found - wanted
    assert {code for code, _ in more} <= {"position_stuck"}
    assert_nothing_else_stands_in_the_way(model, report, more)
    return {code for code, _ in found}


def assert_nothing_else_stands_in_the_way(
    model: Model, report: Report, more: set[tuple[str, str]]
) -> None:
    """Some job cannot be done for what is told, and all can be once it is mended."""
    causes = {(f.code, f.at) for f in report.findings if f.code in NO_WAY_IN}
    settings = settings_of(model)
    stuck = False
    for setting in settings:
        stuck = stuck or cannot_be_done(setting)
        assert not cannot_be_done(setting, causes)
        more = {f for f in more if f[1] in comes_off(setting, setting.steps)}
    if settings:
        assert not more
        assert stuck or not any(code == "needs_cycle" for code, _ in causes)


def settings_of(model: Model) -> list[Setting]:
    """What there is to work on for each job in each build, each once."""
    jobs = keys_of(model, "jobs")
    if not jobs or len(keys_of(model, "steps")) > MOST_STEPS:
        return []
    found = (setting_of(model, [j], b) for b in valid_builds(model) for j in jobs)
    return list({setting.signature(): setting for setting in found}.values())


@pytest.mark.parametrize("seed", range(120))
def test_positions_options_and_rules_are_found_wanting_where_a_build_shows_it(
    seed: int,
) -> None:
    same_findings(seed, PLAIN)


@pytest.mark.parametrize("seed", range(80))
def test_work_is_found_wanting_where_a_build_shows_it(seed: int) -> None:
    same_findings(seed, WORK)


@pytest.mark.parametrize("seed", range(60))
def test_an_assembly_is_lifted_whole_where_its_joint_is_its_own(seed: int) -> None:
    lifted_whole(seed)


def test_some_assemblies_are_lifted_whole_and_others_are_told() -> None:
    told = ["forgotten_gasket" in lifted_whole(seed) for seed in range(30)]
    assert told.count(True) >= 8
    assert told.count(False) >= 5


@pytest.mark.long
@pytest.mark.parametrize("seed", range(1_000, 2_300))
def test_many_more_plain_catalogues_are_found_wanting_where_a_build_shows_it(
    seed: int,
) -> None:
    same_findings(seed, PLAIN)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(1_000, 1_500))
def test_many_more_assemblies_are_lifted_whole_where_they_may(seed: int) -> None:
    lifted_whole(seed)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(1_000, 1_700))
def test_many_more_workshops_are_found_wanting_where_a_build_shows_it(
    seed: int,
) -> None:
    same_findings(seed, WORK)
