"""A conversion moves just the parts that sit there before and not after."""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

import pytest

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.resolve.convert import Converted, convert
from bomsvc.core.resolve.lines import WorkStep
from tests.oracle.builds import Build, Model, Tree, code_and_member, read_interval
from tests.oracle.builds import valid_builds as all_valid_builds
from tests.oracle.joints import groups_of, screw_needs, sits
from tests.oracle.lists import Place, fitted, item, keys_of, part_positions
from tests.oracle.work import Plan, best_plan, setting_of
from tests.oracle.workplace import Asked
from tests.property.test_against_oracle_list import (
    JOINTS,
    WORK,
    both,
    part_of,
    place_of,
)

MOST_STEPS = 8
Sitting = dict[tuple[Place, str], Decimal]


def full_answers(build: Build) -> Tree:
    return {
        key: sorted(value)
        if isinstance(value, frozenset)
        else read_interval(str(value))[0]
        if key == "serial"
        else value
        for key, value in build.items()
        if value is not None
    }


def everything(model: Model, build: Build) -> Sitting:
    """All that sits on the engine, place by place."""
    found: Sitting = {}
    for position in keys_of(model, "positions"):
        for part, qty in sits(model, position, build):
            key = ("position", position), part
            found[key] = found.get(key, Decimal(0)) + qty
    for joint in keys_of(model, "joints"):
        needs = screw_needs(model, joint, groups_of(model, joint, build), build)
        found.update({(place, part): qty for (_, part, place), qty in needs.items()})
    return found


def inside(
    model: Model, moved: Iterable[tuple[Place, str]], build: Build
) -> set[Place]:  # fmt: skip
    """Positions whose part comes with a moved one; of a circle all but the first."""
    order = keys_of(model, "positions")
    own = [(key, part) for (kind, key), part in moved if kind == "position"]
    found = set[str]()
    for key, part in sorted(own, key=lambda each: order.index(each[0])):
        if key in found:
            continue
        below, waiting = set[str](), part_positions(model, part, "includes", key)
        while waiting:
            here = waiting.pop()
            if here in below:
                continue
            below.add(here)
            for number, _ in fitted(model, here, build):
                waiting += part_positions(model, number, "includes", here)
        found |= below - {key}
    return {("position", key) for key in found}


def check_work(
    found: Converted, model: Model, builds: tuple[Build, Build],
    moved: tuple[set[Place], set[Place]],
) -> None:  # fmt: skip
    """What moves for itself comes out of the old engine and goes into the new."""
    if len(keys_of(model, "steps")) > MOST_STEPS:
        return
    old, new = (
        replace(
            setting_of(model, [], build),
            asked=Asked(renew={key for kind, key in places if kind == "position"}),
        )
        for build, places in zip(builds, moved, strict=True)
    )
    first = best_plan(new)
    stripped = best_plan(old, first.steps if first else ())
    refitted = best_plan(new, stripped.steps if stripped else ())
    if stripped is None or refitted is None:
        assert found.work is None
        return
    assert found.work is not None
    assert _timed(model, stripped, "minutes_off") == _steps(found.work.strip)
    assert _timed(model, refitted, "minutes_on") == _steps(found.work.refit)


def _changed_inside(model: Model, before: Build, after: Build) -> int:
    """How many of the parts that change bring others that change."""
    changed = {
        key
        for key in keys_of(model, "positions")
        if fitted(model, key, before) != fitted(model, key, after)
    }
    return sum(
        bool(changed & set(part_positions(model, part, "includes", key)))
        for key in changed
        for build in (before, after)
        for part, _ in fitted(model, key, build)
    )


def _timed(model: Model, plan: Plan, field: str) -> set[str]:
    """The steps of the plan that take time in that phase."""
    steps = {key: item(model, "steps", code_and_member(key)[0]) for key in plan.steps}
    return {key for key, entry in steps.items() if entry.get(field, 0) > 0}


def _steps(steps: Iterable[WorkStep]) -> set[str]:
    return {step.step for step in steps if step.minutes}


def check_conversion(seed: int, *, work: bool) -> int:
    """Compare a conversion; how much of it moves inside something else."""
    rng = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    model, reasoner = both(seed, WORK if work else JOINTS)
    builds = all_valid_builds(model)
    before = rng.choice(builds)
    same_engine = [b for b in builds if b["serial"] == before["serial"]]
    after = max(
        rng.sample(same_engine, k=min(4, len(same_engine))),
        key=lambda build: _changed_inside(model, before, build),
    )
    found = convert(
        reasoner,
        read_answers(reasoner.compiled, full_answers(before)),
        read_answers(reasoner.compiled, full_answers(after)),
    )
    assert isinstance(found, Converted)
    assert not found.unsettled
    old, new = everything(model, before), everything(model, after)
    both_times = old.keys() & new.keys()
    off, on = old.keys() - both_times, new.keys() - both_times
    in_old, in_new = inside(model, off, before), inside(model, on, after)
    assert _moved(found.off) == {k: old[k] for k in off if k[0] not in in_old}
    assert _moved(found.on) == {k: new[k] for k in on if k[0] not in in_new}
    assert {
        ((place_of(one.place)), one.part): (one.before, one.after)
        for one in found.quantities
    } == {key: (old[key], new[key]) for key in both_times if old[key] != new[key]}
    renewed = {
        (place_of(place), part_of(line.part, line.wanted))
        for line in found.take.lines
        for place in line.places
        if line.need == "renew"
    }
    staying = {
        k
        for k in both_times
        if old[k] == new[k] and k not in renewed and k[0] not in in_new
    }
    brought = {
        ("position", other)
        for part, (kind, key) in {(part, place) for place, part in renewed}
        if kind == "position"
        for other in part_positions(model, part, "includes", key)
    }
    stays = _moved(found.stays)
    assert all(qty == old[key] for key, qty in stays.items())
    assert stays.keys() <= staying
    # What comes along with a renewed part may be counted as staying or as new.
    assert {place for place, _ in staying - stays.keys()} <= brought
    differ = {key[0] for key in both_times if old[key] != new[key]}
    coming = ({place for place, _ in off} | differ) - in_old
    going = ({place for place, _ in on} | differ) - in_new
    check_work(found, model, (before, after), (coming, going))
    return sum(place in in_new for place, _ in on)


def _moved(moved: object) -> Sitting:
    assert isinstance(moved, tuple)
    found = {
        (place_of(one.place), part_of(one.part, one.wanted)): one.qty for one in moved
    }
    assert len(found) == len(moved)
    return found


@pytest.mark.parametrize("seed", range(80))
def test_what_moves_is_what_differs_between_the_builds(seed: int) -> None:
    check_conversion(seed, work=True)
    check_conversion(seed, work=False)


def test_the_conversions_move_parts_inside_others() -> None:
    assert sum(bool(check_conversion(seed, work=True)) for seed in range(40)) >= 6


@pytest.mark.long
@pytest.mark.parametrize("start", range(1_000, 5_000, 50))
def test_many_conversions_move_what_differs(start: int) -> None:
    for seed in range(start, start + 50):
        check_conversion(seed, work=True)
        check_conversion(seed, work=False)
        both.cache_clear()
