"""Leaving out ways in that are too dear changes no best plan."""

from __future__ import annotations

from itertools import product

from bomsvc.core.logic.standing import Lit
from bomsvc.core.work import Plan, plan
from bomsvc.core.work.dear import dear_steps, least_minutes, without
from tests.unit.work.generated import VARIABLES, world_by_chance
from tests.unit.work.worlds import World, truth_of

SEEDS = range(30_000, 30_500)
BUILDS = [
    {v for v, holds in zip(VARIABLES, build, strict=True) if holds}
    for build in product((False, True), repeat=len(VARIABLES))
]
JOBS = (("job0",), ("job0", "job1"))


def unknown(_: Lit) -> bool | None:
    return None


def best(world: World, jobs: tuple[str, ...]) -> list[tuple[set[int], Plan]]:
    revision = world.revision()
    found = ((true, plan(revision, truth_of(true), jobs)) for true in BUILDS)
    return [(true, each) for true, each in found if isinstance(each, Plan)]


def test_no_plan_with_a_step_takes_less_than_its_least_minutes() -> None:
    bound = 0
    for seed in SEEDS:
        world = world_by_chance(seed, steps=9)
        for jobs in JOBS:
            least = least_minutes(world.revision(), jobs, unknown)
            for _, each in best(world, jobs):
                for key in each.done:
                    assert each.minutes >= least[key], (seed, key)
                    bound += least[key] > 0
    assert bound > 1000


def test_a_plan_below_the_limit_is_the_best_of_all() -> None:
    compared = left_out = 0
    for seed in SEEDS:
        world = world_by_chance(seed, steps=9)
        revision = world.revision()
        for jobs in JOBS:
            plans = best(world, jobs)
            least = least_minutes(revision, jobs, unknown)
            for limit in sorted({each.minutes for _, each in plans}):
                dear = dear_steps(revision, jobs, least, limit)
                rest = without(revision, dear)
                for true, whole in plans if dear else ():
                    found = plan(rest, truth_of(true), jobs)
                    if isinstance(found, Plan) and found.minutes <= limit:
                        assert found.done == whole.done, (seed, jobs, limit)
                        assert found.minutes == whole.minutes
                        assert found.renewed == whole.renewed
                        assert found.steps == whole.steps
                        compared += 1
                left_out += bool(dear)
    assert left_out > 100
    assert compared > 500
