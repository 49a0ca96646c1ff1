"""What every plan keeps to, whatever the engine."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from itertools import product

import pytest

from bomsvc.core.logic.standing import Lit
from bomsvc.core.work import Plan, Stuck, plan, plan_literals, work_literals
from tests.unit.work.generated import VARIABLES, thicket, world_by_chance
from tests.unit.work.oracle import Naive
from tests.unit.work.worlds import World, truth_of

SEEDS = range(20_000, 20_400)
BUILDS = tuple(product((False, True), repeat=len(VARIABLES)))
BOTH = ("job0", "job1")


def true_in(turn: int) -> set[int]:
    build = BUILDS[turn % len(BUILDS)]
    return {v for v, holds in zip(VARIABLES, build, strict=True) if holds}


def planned(
    world: World, true: set[int], *jobs: str, by_way_of: tuple[str, ...] = ()
) -> Plan | None:
    found = plan(world.revision(), truth_of(true), jobs, by_way_of)
    return None if isinstance(found, Stuck) else found


def plans() -> Iterator[tuple[int, World, set[int], Plan]]:
    """Generated worlds, in one build each, with a plan for both jobs."""
    for seed in SEEDS:
        world, true = world_by_chance(seed, steps=9), true_in(seed)
        found = planned(world, true, *BOTH)
        if found is not None:
            yield seed, world, true, found


def test_adding_a_job_never_takes_fewer_minutes() -> None:
    compared = 0
    for seed, world, true, both in plans():
        for job in BOTH:
            alone = planned(world, true, job)
            assert alone is not None, seed
            assert alone.minutes <= both.minutes, seed
            compared += alone.minutes < both.minutes
    assert compared


def test_adding_a_job_never_drops_what_the_other_job_itself_renews() -> None:
    for seed, world, true, both in plans():
        renewed = {one.position for one in both.renewed}
        for job in BOTH:
            naive = Naive(world, truth_of(true), [job])
            asked = {p for p in naive.asked("renew") if naive.parts_in(p)}
            for position in asked:
                due = naive.due_with(position, singles_only=False)
                assert {position, *due} <= renewed, seed


def test_adding_a_job_may_change_the_way_in_and_with_it_the_seals() -> None:
    """A shared way in can make another joint stay shut: its seal is not needed."""
    world = World(
        parts={"x": {}},
        positions={
            name: {"fitments": [("x", 1)]} for name in ("pump", "top", "side", "fan")
        },
        joints={"lid": {"seals": ["top"]}, "door": {"seals": ["side"]}},
        steps={
            "by_lid": {"frees": ["pump"], "opens": ["lid"], "off": 10},
            "by_door": {"frees": ["pump", "fan"], "opens": ["door"], "off": 11},
        },
        jobs={"job0": {"renew": ["pump"]}, "job1": {"renew": ["fan"]}},
    )
    alone, both = planned(world, set(), "job0"), planned(world, set(), *BOTH)
    assert alone is not None
    assert both is not None
    assert [one.position for one in alone.renewed] == ["pump", "top"]
    assert [one.position for one in both.renewed] == ["pump", "side", "fan"]
    assert alone.minutes < both.minutes


def test_a_plan_exists_for_both_jobs_exactly_when_it_does_for_each() -> None:
    for seed in SEEDS:
        world, true = world_by_chance(seed), true_in(seed)
        apart = all(planned(world, true, job) is not None for job in BOTH)
        assert apart == (planned(world, true, *BOTH) is not None), seed


def test_every_opened_joint_is_closed_with_all_its_seals() -> None:
    opened = 0
    for seed, world, true, found in plans():
        naive = Naive(world, truth_of(true), BOTH)
        renewed = {one.position for one in found.renewed}
        for joint in found.opened:
            seals = world.joints[joint.joint].get("seals", ())
            assert {p for p in seals if naive.parts_in(p)} <= renewed, seed
            opened += 1
    assert opened > 20


def test_what_is_disturbed_is_what_the_rules_say() -> None:
    for seed, world, true, found in plans():
        naive = Naive(world, truth_of(true), BOTH)
        assert {one.position for one in found.renewed} == naive.renewed(found.done), (
            seed
        )
        assert {one.position for one in found.freed} == naive.freed(found.done), seed
        assert {one.joint for one in found.opened} == naive.opened(found.done), seed


def test_every_step_stands_after_what_it_needs() -> None:
    for seed, world, true, found in plans():
        naive = Naive(world, truth_of(true), BOTH)
        strip = [step.key for step in found.steps if step.phase == "strip"]
        for place, key in enumerate(strip):
            assert naive.needs_met(key, set(strip[:place])), seed


def test_every_done_step_has_its_entries_and_its_reason() -> None:
    for seed, world, _, found in plans():
        assert {step.key for step in found.steps} == set(found.done), seed
        entries = [(step.key, step.phase) for step in found.steps]
        assert len(set(entries)) == len(entries), seed
        assert sum(step.minutes for step in found.steps) == found.minutes, seed
        known = {*found.done, *world.jobs, *world.positions}
        assert {step.needed_by for step in found.steps} <= known, seed


def test_no_step_could_be_left_out() -> None:
    for seed, world, true, found in plans():
        naive = Naive(world, truth_of(true), BOTH)
        assert naive.does_the_jobs(found.done), seed
        for key in found.done:
            rest = [other for other in found.done if other != key]
            assert not naive.does_the_jobs(rest), seed


def test_pinned_steps_are_done_and_cost_no_less() -> None:
    for seed, world, true, found in plans():
        for pin in list(world.steps)[:3]:
            pinned = planned(world, true, *BOTH, by_way_of=(pin,))
            if pinned is None:
                continue
            assert pin in pinned.done or pin in pinned.pins_absent, seed
            assert pinned.minutes >= found.minutes, seed
            if pin in found.done:
                assert pinned.done == found.done, seed


def test_the_other_way_leaves_out_a_step_and_costs_no_less() -> None:
    others = 0
    for seed, world, true, found in plans():
        if found.other_way is None:
            continue
        others += 1
        assert found.other_way.instead_of, seed
        assert not set(found.other_way.instead_of) & set(found.other_way.steps), seed
        assert found.other_way.minutes >= found.minutes, seed
        naive = Naive(world, truth_of(true), BOTH)
        assert naive.does_the_jobs(found.other_way.steps), seed
    assert others > 20


@pytest.mark.parametrize("jobs", [["job0"], ["job0", "job1"]])
def test_a_plan_asks_for_no_literal_that_was_not_announced(jobs: list[str]) -> None:
    for seed in SEEDS:
        revision = world_by_chance(seed).revision()
        announced = plan_literals(revision, jobs)
        assert set(announced) <= set(work_literals(revision, jobs))
        for turn in (seed, seed + 5):
            truth = truth_of(true_in(turn))

            def asked(lit: Lit, seed: int = seed) -> bool:
                assert lit in announced, (seed, lit)  # noqa: B023
                return truth(lit)  # noqa: B023

            plan(revision, asked, jobs)


def test_builds_alike_in_the_announced_literals_have_the_same_plan() -> None:
    for seed in SEEDS:
        revision = world_by_chance(seed).revision()
        announced = plan_literals(revision, BOTH)
        by_case: dict[tuple[bool, ...], Plan | Stuck] = {}
        for turn in range(len(BUILDS)):
            truth = truth_of(true_in(turn))
            case = tuple(truth(lit) for lit in announced)
            found = plan(revision, truth, BOTH)
            assert by_case.setdefault(case, found) == found, seed


def test_plans_do_not_depend_on_the_order_of_the_jobs_or_on_doing_them_twice() -> None:
    for seed, world, true, found in plans():
        turned = planned(world, true, "job1", "job0", "job1")
        assert turned is not None
        assert turned.done == found.done, seed
        assert [s.key for s in turned.steps] == [s.key for s in found.steps], seed


def test_plans_do_not_depend_on_the_hash_seed() -> None:
    lines = (
        "from bomsvc.core.work import plan",
        "from tests.unit.work.generated import thicket, world_by_chance",
        "from tests.unit.work.worlds import truth_of",
        "for n in range(60):",
        "    print(plan(world_by_chance(n).revision(), truth_of({2}), ['job0']))",
        "print(plan(thicket(3, positions=12).revision(), truth_of(()), ['job']))",
    )
    outputs = {
        subprocess.run(
            [sys.executable, "-c", "\n".join(lines)],
            check=True,
            capture_output=True,
            env={**os.environ, "PYTHONHASHSEED": str(hash_seed)},
        ).stdout
        for hash_seed in (1, 2)
    }
    assert len(outputs) == 1


def test_a_thicket_of_waiting_steps_is_planned_in_an_order_that_exists() -> None:
    for seed in range(30):
        world = thicket(seed, positions=12)
        found = plan(world.revision(), truth_of(()), ["job"])
        assert isinstance(found, Plan)
        assert found.optimal
        assert Naive(world, truth_of(()), ["job"]).does_the_jobs(found.done)
