"""The plan is the least one: held against every subset of the steps."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import pytest

from bomsvc.core.work import Stuck, plan
from bomsvc.core.work.walk import Walk
from tests.unit.work.generated import VARIABLES, world_by_chance
from tests.unit.work.oracle import Naive
from tests.unit.work.worlds import World, truth_of

BATCHES = 12
PER_BATCH = 125


def cases(seed: int) -> Iterator[tuple[World, set[int], list[str], list[str]]]:
    """A generated world in two of its builds, with one job or both, pinned or not."""
    world = world_by_chance(seed)
    builds = list(product((False, True), repeat=len(VARIABLES)))
    for turn in (seed, seed + 3):
        build = builds[turn % len(builds)]
        true = {v for v, holds in zip(VARIABLES, build, strict=True) if holds}
        jobs = ["job0", "job1"] if turn % 3 else ["job0"]
        pins = list(world.steps)[:1] if turn % 5 == 0 else []
        yield world, true, jobs, pins


def compare(seed: int) -> int:
    """Compare a world's plans with the oracle's; the number that has a plan."""
    plans = 0
    for world, true, jobs, pins in cases(seed):
        truth = truth_of(true)
        found = plan(world.revision(), truth, jobs, pins)
        every = Naive(world, truth, jobs, pins).plans()
        best = next(every, None)
        if isinstance(found, Stuck):
            assert best is None, seed
            continue
        plans += 1
        assert found.done == best, seed
        assert found.optimal
        free = Naive(world, truth, jobs).plans() if pins else every
        second = next((s for s in free if not set(s) >= set(best)), None)
        other = found.other_way and tuple(sorted(found.other_way.steps))
        assert other == (second and tuple(sorted(second))), seed
    return plans


def compare_all(seeds: range) -> int:
    return sum(compare(seed) for seed in seeds)


@pytest.mark.parametrize("batch", range(BATCHES))
def test_the_plan_and_its_runner_up_are_the_least_of_all_subsets(batch: int) -> None:
    seeds = range(batch * PER_BATCH, (batch + 1) * PER_BATCH)
    plans = compare_all(seeds)
    assert 2 * PER_BATCH > plans > PER_BATCH


@pytest.mark.long
@pytest.mark.parametrize("batch", range(40))
def test_many_more_plans_are_the_least_of_all_subsets(batch: int) -> None:
    first = 100_000 + batch * 1000
    assert compare_all(range(first, first + 1000)) > 1000


@pytest.mark.parametrize("forgotten", ["_needs", "_owed"])
def test_a_planner_that_forgets_a_rule_is_found_out(
    forgotten: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Walk, forgotten, lambda *_: iter(()))
    with pytest.raises(AssertionError):
        compare_all(range(200))
