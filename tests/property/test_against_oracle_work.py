"""Plans are what trying every set of steps finds, build by build."""

from __future__ import annotations

import random
from fractions import Fraction
from functools import cache

import pytest

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.terms.json_text import read_json
from bomsvc.core.work import Plan, Stuck, plan
from tests.oracle.builds import Build, Model, Tree, read_interval, read_model
from tests.oracle.builds import valid_builds as all_valid_builds
from tests.oracle.documents import Knobs, json_text
from tests.oracle.lists import keys_of
from tests.oracle.work import (
    Setting,
    best_plan,
    freed,
    opened,
    other_way,
    renewed,
    setting_of,
)
from tests.oracle.workshop import workshop_document

KNOBS = Knobs(
    options=3, positions=4, rules=1, joints=2, steps=3, jobs=2, most_builds=60
)
MOST_STEPS = 9


@cache
def both(seed: int) -> tuple[Model, Reasoner]:
    tree = workshop_document(seed, KNOBS)
    catalogue = read_catalogue(read_json(json_text(tree)))
    return read_model(tree), Reasoner(compile_catalogue(catalogue))


def full_answers(build: Build) -> Tree:
    """A build as answers: every active option, sets exact, a serial number."""
    return {
        key: sorted(value)
        if isinstance(value, frozenset)
        else read_interval(str(value))[0]
        if key == "serial"
        else value
        for key, value in build.items()
        if value is not None
    }


def check_plan(seed: int, rng: random.Random, *, most_builds: int) -> int:
    """Compare the plans of some builds; the number of builds that had one."""
    model, reasoner = both(seed)
    steps = keys_of(model, "steps")
    if len(steps) > MOST_STEPS:
        return 0
    pinned = [rng.choice(steps)] if rng.random() < 0.25 else []
    jobs = keys_of(model, "jobs")
    jobs = rng.sample(jobs, k=rng.randint(1, len(jobs)))
    builds = all_valid_builds(model)
    seen: set[str] = set()
    for build in rng.sample(builds, k=min(len(builds), most_builds)):
        setting = setting_of(model, jobs, build)
        if setting.signature() in seen:
            continue
        seen.add(setting.signature())
        compare(reasoner, setting, build, jobs, pinned)
    return len(seen)


def compare(
    reasoner: Reasoner, setting: Setting, build: Build, jobs: list[str],
    pinned: list[str],
) -> None:  # fmt: skip
    expected = best_plan(setting, pinned)
    full = reasoner.full(full_answers(build))
    found = plan(reasoner.compiled, full.truth, jobs, pinned)
    if expected is None:
        assert isinstance(found, Stuck)
        return
    assert isinstance(found, Plan)
    assert found.optimal
    done = {step.key for step in found.steps}
    assert Fraction(found.minutes) == expected.minutes
    assert done == set(expected.steps)
    assert {one.joint for one in found.opened} == opened(setting, done)
    assert {one.position for one in found.freed} == freed(setting, done)
    assert {one.position for one in found.renewed} == renewed(setting, done)
    check_order(setting, [s.key for s in found.steps if s.phase == "strip"])
    check_other(setting, expected.steps, found, pinned)


def check_order(setting: Setting, order: list[str]) -> None:
    """Whatever a step needs off is off before it."""
    for place, key in enumerate(order):
        before = order[:place]
        step = setting.steps[key]
        assert step.needs_positions <= freed(setting, before)
        assert step.needs_steps & set(order) <= set(before)


def check_other(
    setting: Setting, steps: tuple[str, ...], found: Plan, pinned: list[str]
) -> None:
    chosen = best_plan(setting, pinned)
    assert chosen is not None
    other = other_way(setting, chosen)
    if other is None:
        assert found.other_way is None
        return
    assert found.other_way is not None
    assert Fraction(found.other_way.minutes) == other.minutes
    assert set(found.other_way.steps) == set(other.steps)


def _rng(seed: int) -> random.Random:
    return random.Random(seed)  # noqa: S311 - repeatable, nothing secret


@pytest.mark.parametrize("seed", range(120))
def test_the_plan_is_the_least_of_all_sets_of_steps(seed: int) -> None:
    check_plan(seed, _rng(seed), most_builds=5)


def test_the_generated_jobs_are_planned_often_enough() -> None:
    assert sum(check_plan(s, _rng(s), most_builds=3) for s in range(20)) >= 20


@pytest.mark.long
@pytest.mark.parametrize("start", range(1_000, 5_000, 50))
def test_many_workshops_plan_as_all_sets_of_steps_do(start: int) -> None:
    for seed in range(start, start + 50):
        check_plan(seed, _rng(seed), most_builds=20)
        both.cache_clear()
