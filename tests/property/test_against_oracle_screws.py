"""Sizing agrees with trying every length and every combination of lengths."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest

from bomsvc.core.fasteners import values
from bomsvc.core.fasteners.sizing import size_joint as service_sizes
from tests.oracle.screws import (
    Hole,
    NutSide,
    Screw,
    Sized,
    Stack,
    length_tolerance,
    needed,
    size_joint,
)
from tests.oracle.stacks import random_joint


def as_service_screw(screw: Screw) -> values.Screw:
    return values.Screw(
        screw.part,
        screw.standard,
        screw.thread,
        Fraction(screw.length),
        screw.property_class,
        fully_threaded=True if screw.fully_threaded else None,
        thread_mm=screw.thread_mm,
        preferred=screw.preferred,
    )


def as_service_into(into: Hole | NutSide) -> values.Into:
    if isinstance(into, NutSide):
        middle = (into.low + into.high) / 2
        return values.NutSide(middle, into.high - middle, middle - into.low)
    if into.thickness is None:
        return values.BlindHole(
            into.thread,
            into.material,
            into.threaded,
            into.drilled,
            into.entry,
            into.entry_tol,
            into.entry_tol,
            into.strength,
        )
    return values.TappedThrough(
        into.thread,
        into.material,
        into.thickness,
        into.thickness_tol,
        into.thickness_tol,
        into.entry,
        into.entry_tol,
        into.entry_tol,
        into.exit,
        into.strength,
    )


def as_service_stack(stack: Stack, shelf: values.Shelf) -> values.GroupStack:
    """The clamped stack in two layers, so that sums of tolerances are met too."""
    thin = stack.clamp_min / 3
    spread = stack.clamp_max - stack.clamp_min
    return values.GroupStack(
        stack.group,
        as_service_into(stack.into),
        (
            values.Layer("washer", thin, plus=spread / 4),
            values.Layer("cover", stack.clamp_min - thin, plus=spread * 3 / 4),
        ),
        values.Wanted(stack.standards, stack.thread, stack.property_class),
        shelf=shelf,
        stated=(as_service_screw(stack.stated),) if stack.stated else (),
        engagement_mm=stack.engagement,
        protrusion_mm=stack.protrusion,
    )


def check_joint(seed: int) -> list[Sized]:
    rng = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    stacks, shelf = random_joint(rng)
    expected = size_joint(stacks, shelf)
    on_offer = values.Shelf([as_service_screw(screw) for screw in shelf])
    found = service_sizes([as_service_stack(stack, on_offer) for stack in stacks])
    for stack, one in zip(stacks, found, strict=True):
        check_group(stack, expected[stack.group], one)
    return list(expected.values())


def check_group(stack: Stack, expected: Sized, found: values.SizedGroup) -> None:
    assert found.clamp_mm[1:] == (stack.clamp_min, stack.clamp_max)
    codes = {finding.code for finding in found.faults()}
    if expected.screw is None:
        assert found.chosen is None
        assert found.failure is not None
        assert "screw_none_fits" in codes
        if len(stack.standards) == 1:
            assert found.failure.reason == expected.failure
        return
    assert found.chosen is not None
    assert found.chosen.part == expected.screw.part
    assert found.chosen.length_mm == expected.screw.length
    assert found.chosen.standard == expected.screw.standard
    assert (found.failure is not None) == (expected.failure is not None)
    assert ("screw_stated_fails" in codes) == (expected.failure is not None)
    assert ("screw_not_listed" in codes) == (expected.screw.part is None)
    check_figures(stack, expected, found)


def check_figures(stack: Stack, expected: Sized, found: values.SizedGroup) -> None:
    """Margins as computed, with the full need (a stated screw's shows both)."""
    assert expected.margins is not None
    assert expected.screw is not None
    if found.margins is None:
        assert expected.fixed
        return
    assert found.margins.over == expected.margins.over
    assert found.margins.shank == expected.margins.shank
    if not expected.fixed:
        assert found.margins.short == expected.margins.short
    if isinstance(stack.into, Hole) and not expected.fixed:
        assert found.need is not None
        assert found.need.mm == needed(stack, expected.screw.property_class)
        check_engagement(stack, expected, found)


def check_engagement(stack: Stack, expected: Sized, found: values.SizedGroup) -> None:
    assert isinstance(stack.into, Hole)
    assert expected.screw is not None
    assert found.engagement_mm is not None
    shortest = expected.screw.length - length_tolerance(expected.screw.length)
    entry = stack.into.entry + stack.into.entry_tol
    point = 2 * {"M6": Fraction(1), "M8": Fraction(5, 4), "M10": Fraction(3, 2),
                 "M12": Fraction(7, 4)}[stack.thread]  # fmt: skip
    least = shortest - point - stack.clamp_max - entry
    if stack.into.thickness is not None:
        thinnest = stack.into.thickness - stack.into.thickness_tol
        least = min(least, thinnest - entry - stack.into.exit)
    assert found.engagement_mm[0] == least


@pytest.mark.parametrize("start", range(0, 1_000, 50))
def test_sizes_are_what_trying_everything_finds(start: int) -> None:
    for seed in range(start, start + 50):
        check_joint(seed)


def test_the_random_joints_have_fitting_stated_and_hopeless_groups() -> None:
    groups = [one for seed in range(100) for one in check_joint(seed)]
    assert sum(one.screw is not None and not one.fixed for one in groups) > 80
    assert sum(one.failure == "stated_fails" for one in groups) > 5
    assert len({one.failure for one in groups}) >= 5


@pytest.mark.long
@pytest.mark.parametrize("start", range(10_000, 60_000, 1_000))
def test_many_joints_are_sized_as_trying_everything_does(start: int) -> None:
    for seed in range(start, start + 1_000):
        check_joint(seed)
