"""A conversion moves just the parts that sit there before and not after."""

from __future__ import annotations

import random
from decimal import Decimal

import pytest

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.resolve.convert import Converted, convert
from tests.oracle.builds import Build, Model, Tree, read_interval
from tests.oracle.builds import valid_builds as all_valid_builds
from tests.oracle.joints import groups_of, screw_needs, sits
from tests.oracle.lists import Place, keys_of, part_positions
from tests.property.test_against_oracle_list import (
    JOINTS,
    WORK,
    both,
    part_of,
    place_of,
)

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


def check_conversion(seed: int, *, work: bool) -> None:
    rng = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    model, reasoner = both(seed, WORK if work else JOINTS)
    builds = all_valid_builds(model)
    before = rng.choice(builds)
    after = rng.choice([b for b in builds if b["serial"] == before["serial"]])
    found = convert(
        reasoner,
        read_answers(reasoner.compiled, full_answers(before)),
        read_answers(reasoner.compiled, full_answers(after)),
    )
    assert isinstance(found, Converted)
    assert not found.unsettled
    old, new = everything(model, before), everything(model, after)
    both_times = old.keys() & new.keys()
    assert _moved(found.off) == {key: old[key] for key in old.keys() - both_times}
    assert _moved(found.on) == {key: new[key] for key in new.keys() - both_times}
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
    staying = {k for k in both_times if old[k] == new[k] and k not in renewed}
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


@pytest.mark.long
@pytest.mark.parametrize("start", range(1_000, 5_000, 50))
def test_many_conversions_move_what_differs(start: int) -> None:
    for seed in range(start, start + 50):
        check_conversion(seed, work=True)
        check_conversion(seed, work=False)
        both.cache_clear()
