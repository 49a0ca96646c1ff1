"""Across the groups of a joint: the fewest different lengths."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from bomsvc.core.fasteners import bound_group, choose, size_joint
from bomsvc.core.fasteners.cover import fewest_lengths
from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    Layer,
    Screw,
    Wanted,
)
from tests.unit.fasteners.stacks import F


def _plate(code: str, mm: str, depth: str = "60", **rest: Any) -> GroupStack:
    hole = BlindHole("M8", "steel", threaded_mm=F(depth))
    wanted = Wanted(("ISO 4017",), "M8", "8.8")
    return GroupStack(code, hole, (Layer("plate", F(mm)),), wanted, **rest)


def _lengths(*groups: GroupStack) -> list[int | None]:
    return [int(s.chosen.length_mm) if s.chosen else None for s in size_joint(groups)]


def test_a_joint_takes_the_fewest_different_lengths() -> None:
    # Alone: 25 and 30; one length serves both, because the first hole is deep.
    assert _lengths(_plate("a", "13")) == [25]
    assert _lengths(_plate("b", "17")) == [30]
    assert _lengths(_plate("a", "13"), _plate("b", "17")) == [30, 30]


def test_a_shallow_hole_keeps_its_own_length() -> None:
    groups = _plate("a", "13", depth="15"), _plate("b", "17")
    assert _lengths(*groups) == [25, 30]


def test_groups_of_other_threads_or_classes_do_not_share() -> None:
    other = _plate("b", "17")
    other = replace(other, wanted=Wanted(("ISO 4017",), "M8", "10.9"))
    assert _lengths(_plate("a", "13"), other) == [25, 30]


def test_a_stated_length_is_bought_anyway_and_serves_others() -> None:
    stated = Screw("ST", "ISO 4017", "M8", F(35), "8.8")
    groups = _plate("a", "13"), _plate("b", "17", stated=(stated,))
    assert _lengths(*groups) == [35, 35]


def test_a_group_that_nothing_fits_takes_no_part() -> None:
    hopeless = _plate("b", "17", depth="6")
    assert _lengths(_plate("a", "13"), hopeless) == [25, None]


def test_the_choice_can_be_made_from_stacks_bounded_before() -> None:
    groups = [_plate("a", "13"), _plate("b", "17")]
    assert choose([bound_group(g) for g in groups]) == size_joint(groups)
    assert bound_group(_plate("c", "17", depth="6")).cluster() is None


def test_the_least_sum_comes_before_the_first_groups_own_wish() -> None:
    options = [frozenset(map(F, s)) for s in ((1, 2), (5, 9), (2, 9))]
    assert fewest_lengths(options) == (F(2), F(5), F(2))


def test_three_groups_two_lengths_with_the_least_sum() -> None:
    options = [frozenset(map(F, s)) for s in ((1, 2), (2, 3), (9, 10))]
    assert fewest_lengths(options) == (F(2), F(2), F(9))
    assert fewest_lengths([]) == ()
    assert fewest_lengths(options, frozenset({F(10)})) == (F(2), F(2), F(10))
