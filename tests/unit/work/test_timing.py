"""Whether minutes can decide the way in: never said falsely, and often settled."""

from __future__ import annotations

import copy
from itertools import product

from bomsvc.core.work import Plan, plan
from bomsvc.core.work.timing import time_decides
from tests.unit.work.generated import VARIABLES, world_by_chance
from tests.unit.work.worlds import World, truth_of

OTHER_MINUTES = (0, 3, 500)


def two_ways(needed: str) -> World:
    """A filter behind a grille: by the door or the hatch, and something before both."""
    return World(
        parts={"f": {}},
        positions={"filter": {"fitments": [("f", 1)]}},
        steps={
            "filter_off": {"frees": ["filter"], "needs": ["drain"]},
            "hatch_way": {"frees": ["filter"], "needs": [needed]},
            "drain": {},
            "raise": {},
        },
        jobs={"job": {"renew": ["filter"]}},
    )


def test_minutes_of_a_step_that_only_one_way_needs_decide() -> None:
    assert time_decides(two_ways("raise").revision(), "job", ["raise"])
    assert time_decides(two_ways("raise").revision(), "job", ["drain"])


def test_minutes_of_a_step_that_has_no_alternative_decide_nothing() -> None:
    world = two_ways("raise")
    world.jobs["job"]["do"] = ["test_run"]
    world.steps["test_run"] = {"needs": ["warm_up"]}
    world.steps["warm_up"] = {}
    revision = world.revision()
    assert not time_decides(revision, "job", ["test_run"])
    assert not time_decides(revision, "job", ["warm_up"])


def done(world: World, job: str) -> list[tuple[str, ...] | None]:
    """The steps of the job in every case."""
    revision = world.revision()
    found: list[tuple[str, ...] | None] = []
    for values in product((True, False), repeat=len(VARIABLES)):
        true = [v for v, value in zip(VARIABLES, values, strict=True) if value]
        made = plan(revision, truth_of(true), [job])
        found.append(made.done if isinstance(made, Plan) else None)
    return found


def checked(seed: int) -> int:
    """Try other minutes of every step that decides nothing; return how many."""
    world = world_by_chance(seed, steps=6)
    count = 0
    for job in world.jobs:
        before = done(world, job)
        reached = {step for steps in before for step in steps or ()}
        for step in world.steps:
            if time_decides(world.revision(), job, [step]):
                continue
            count += step in reached
            for minutes in OTHER_MINUTES:
                other = copy.deepcopy(world)
                other.steps[step]["off"] = minutes
                assert done(other, job) == before, (job, step, minutes)
    return count


def test_other_minutes_of_such_steps_change_no_plan() -> None:
    settled = sum(checked(seed) for seed in range(40))
    assert settled > 10, "steps that are done, and settled all the same"
