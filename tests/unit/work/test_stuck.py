"""Why a job cannot be done: what stands in the way, and the chain down to it."""

from __future__ import annotations

from typing import Any

from bomsvc.core.work import Stuck, plan
from bomsvc.core.work.feasible import Cause, stuck_in
from bomsvc.core.work.shop import shop_of
from bomsvc.core.work.values import StuckReason
from tests.unit.work.worlds import World, truth_of


def stuck(world: World) -> tuple[StuckReason, ...]:
    found = plan(world.revision(), truth_of(()), ["job"])
    assert isinstance(found, Stuck)
    return found.reasons


def world_of(steps: dict[str, Any], *positions: str, **job: Any) -> World:
    return World(
        parts={"x": {}},
        positions={name: {"fitments": [("x", 1)]} for name in positions},
        joints={"seam": {}},
        steps=steps,
        jobs={"job": job},
    )


def test_a_part_that_no_step_frees_is_stuck() -> None:
    world = world_of({}, "a", renew=["a"])
    assert stuck(world) == (StuckReason("position_stuck", ("a",), ("job",)),)


def test_a_step_of_another_build_frees_nothing_here() -> None:
    world = world_of({"a_off": {"frees": ["a"], "exists": 2}}, "a", renew=["a"])
    assert stuck(world)[0].code == "position_stuck"


def test_the_chain_leads_from_the_job_to_what_is_stuck() -> None:
    steps = {
        "a_off": {"frees": ["a"], "needs": ["b"]},
        "b_off": {"frees": ["b"], "needs": ["c"]},
    }
    world = world_of(steps, "a", "b", "c", renew=["a"])
    assert stuck(world) == (
        StuckReason("position_stuck", ("c",), ("job", "a_off", "b_off")),
    )


def test_a_joint_that_no_step_opens_cannot_be_resealed() -> None:
    world = world_of({}, reseal=["seam"])
    assert stuck(world) == (StuckReason("joint_never_opened", ("seam",), ("job",)),)


def test_steps_that_wait_on_one_another_are_named_as_a_circle() -> None:
    steps = {
        "z_off": {"frees": ["a"], "needs": ["b"]},
        "b_off": {"frees": ["b"], "needs": ["c"]},
        "c_off": {"frees": ["c"], "needs": ["b"]},
    }
    world = world_of(steps, "a", "b", "c", renew=["a"])
    assert stuck(world) == (
        StuckReason("needs_cycle", ("b_off", "c_off"), ("job", "z_off")),
    )


def test_a_step_that_needs_off_what_only_it_takes_off_waits_on_itself() -> None:
    world = world_of({"a_off": {"frees": ["a"], "needs": ["a"]}}, "a", renew=["a"])
    assert stuck(world) == (StuckReason("needs_cycle", ("a_off",), ("job", "a_off")),)


def test_every_stuck_position_of_every_job_is_reported_once() -> None:
    world = world_of({}, "a", "b", renew=["a", "b", "a"])
    assert [reason.items for reason in stuck(world)] == [("a",), ("b",)]


def test_a_stuck_part_renewed_with_another_is_named_with_it() -> None:
    world = world_of({"a_off": {"frees": ["a"]}}, "a", "b", renew=["a"])
    world.parts = {"x": {}, "y": {"renew_with": ["b"]}}
    world.positions["a"] = {"fitments": [("y", 1)]}
    assert stuck(world) == (StuckReason("position_stuck", ("b",), ("a",)),)


def test_steps_that_owe_one_another_are_no_circle_where_something_else_is_wrong() -> (
    None
):
    steps = {
        "a_off": {"frees": ["a"], "then": ["b_off"]},
        "b_off": {"frees": ["b"], "then": ["a_off", "c_off"]},
        "c_off": {"frees": ["c"], "needs": ["d"]},
    }
    world = world_of(steps, "a", "b", "c", "d", renew=["a"])
    assert stuck(world) == (
        StuckReason("position_stuck", ("d",), ("job", "a_off", "b_off", "c_off")),
    )


def test_what_is_mended_stands_in_the_way_no_more() -> None:
    steps = {
        "a_off": {"frees": ["a"], "needs": ["b", "c"]},
        "c_off": {"frees": ["c"], "needs": ["a"]},
    }
    world = world_of(steps, "a", "b", "c", renew=["a"], reseal=["seam"])
    shop = shop_of(world.revision())
    told: set[Cause] = set()
    found: list[Cause] = []
    while still := stuck_in(shop, truth_of(()), ["job"], told):
        found += [(reason.code, reason.items[0]) for reason in still.reasons]
        told |= set(found)
    assert found == [
        ("joint_never_opened", "seam"),
        ("position_stuck", "b"),
        ("needs_cycle", "a_off"),
    ]
