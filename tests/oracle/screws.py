"""Naive sizing of screws: every length tried, every combination of a joint tried.

Sizes M6 to M16 coarse, ISO 4014, 4017 and 4762, classes 8.8, 10.9 and 12.9.

Reading taken:
- All lengths here are within 10 d, so product grade A (js15) always holds; only
  the window of lengths nobody makes may reach beyond (js17).
- The window takes the tolerance of a length just long enough for the lower bound.
- A stated screw is held to the stripping need; a stated `engagement_mm` replaces
  both needs.
- The fewest lengths count every screw of like thread and class in the joint,
  stated ones as they are, by their own class; a group that nothing fits takes no
  part.
- A group for which no catalogue screw fits takes part with the standard's own
  lengths.
- Equal lengths of different standards are one length.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import ceil
from typing import Literal

from tests.oracle.screw_tables import (
    GUIDE,
    JS15,
    JS17,
    PI,
    RANGES,
    SERIES,
    SHEAR,
    SOCKET_FULL,
    TENSILE,
    THREADS,
)

Material = Literal["steel", "grey_iron", "ductile_iron", "aluminium"]


@dataclass(frozen=True)
class Hole:
    """A tapped hole; blind unless it has a thickness. Lengths in mm."""

    thread: str
    material: Material
    strength: Fraction | None = None
    threaded: Fraction | None = None
    drilled: Fraction | None = None
    entry: Fraction = Fraction(0)
    entry_tol: Fraction = Fraction(0)
    thickness: Fraction | None = None
    thickness_tol: Fraction = Fraction(0)
    exit: Fraction = Fraction(0)


@dataclass(frozen=True)
class NutSide:
    """A nut: smallest and largest height, mm."""

    low: Fraction
    high: Fraction


@dataclass(frozen=True)
class Screw:
    """A screw on offer; `part` None is a length of the standard's own series."""

    part: str | None
    standard: str
    thread: str
    length: int
    property_class: str
    fully_threaded: bool = False
    thread_mm: Fraction | None = None
    preferred: bool = False


@dataclass(frozen=True)
class Stack:
    """One group of holes in one build: what is clamped, and into what."""

    group: str
    clamp_min: Fraction
    clamp_max: Fraction
    into: Hole | NutSide
    standards: tuple[str, ...]
    thread: str
    property_class: str
    engagement: Fraction | None = None
    protrusion: Fraction | None = None
    stated: Screw | None = None


@dataclass(frozen=True)
class Margins:
    """By how much each condition is met (negative: missed), mm."""

    short: Fraction
    over: Fraction | None
    shank: Fraction

    def fits(self) -> bool:
        """Whether all conditions are met; on the bound counts as met."""
        return self.short >= 0 and (self.over is None or self.over >= 0) and \
            self.shank >= 0  # fmt: skip


@dataclass(frozen=True)
class Sized:
    """The screw of one group; none when nothing can fit."""

    group: str
    screw: Screw | None
    margins: Margins | None
    failure: str | None
    fixed: bool = False


def nominal(thread: str) -> str:
    """`M10x1.5` and `M10` are the same coarse thread."""
    return thread.partition("x")[0]


def diameter(thread: str) -> Fraction:
    """Nominal diameter, mm."""
    return Fraction(nominal(thread)[1:])


def pitch(thread: str) -> Fraction:
    """Coarse pitch, mm."""
    return THREADS[nominal(thread)][0]


def length_tolerance(length: int) -> Fraction:
    """Plus and minus on a nominal length, mm."""
    return next(tolerance for limit, tolerance in JS15 if length <= limit)


def tolerance_beyond(lower: Fraction, d: Fraction) -> Fraction:
    """Tolerance of a length just long enough for the lower bound, mm."""
    fine = next(t for limit, t in JS15 if lower + t <= limit)
    if lower + fine <= 10 * d:
        return fine
    return next(t for limit, t in JS17 if lower + t <= limit)


@cache
def stripping_need(hole: Hole, property_class: str) -> Fraction:
    """Engagement at which the screw breaks before the hole strips, mm."""
    p, area, ds_min, en_max, _ = THREADS[nominal(hole.thread)]
    strength, ratio = SHEAR[hole.material]
    shear = ratio * (hole.strength if hole.strength is not None else strength)
    per_mm = (
        PI * ds_min * (Fraction(1, 2) + Fraction("0.57735") / p * (ds_min - en_max))
    )
    need = area * TENSILE[property_class] / (shear * per_mm)
    return Fraction(ceil(need * 1000), 1000)


def guide_need(hole: Hole, property_class: str) -> Fraction:
    """The guide factor times the diameter, mm."""
    return GUIDE[hole.material][property_class] * diameter(hole.thread)


def needed(stack: Stack, property_class: str, *, stated: bool = False) -> Fraction:
    """Engagement of full threads that the hole asks for, mm; none at a nut."""
    if isinstance(stack.into, NutSide):
        return Fraction(0)
    if stack.engagement is not None:
        return stack.engagement
    strip = stripping_need(stack.into, property_class)
    return strip if stated else max(strip, guide_need(stack.into, property_class))


def usable_depth(hole: Hole) -> Fraction:
    """Threaded depth of a blind hole from the mating face, mm."""
    if hole.threaded is not None:
        return hole.threaded
    assert hole.drilled is not None
    return hole.drilled - THREADS[nominal(hole.thread)][4]


def first_full_thread(screw: Screw) -> Fraction:
    """Distance from under the head to the first full thread, mm."""
    size = nominal(screw.thread)
    if screw.fully_threaded or screw.standard == "ISO 4017":
        return 3 * pitch(size)
    if screw.thread_mm is not None:
        return screw.length - screw.thread_mm
    if screw.standard == "ISO 4762":
        if screw.length <= SOCKET_FULL[size]:
            return 3 * pitch(size)
        return screw.length - (2 * diameter(size) + 12)
    more = 6 if screw.length <= 125 else 12
    return screw.length - (2 * diameter(size) + more)


def bounds(stack: Stack, need: Fraction) -> tuple[Fraction, Fraction | None]:
    """Least length of the shortest screw, greatest of the longest, mm."""
    p = pitch(stack.thread)
    into = stack.into
    if isinstance(into, NutSide):
        upper = None
        if stack.protrusion is not None:
            upper = stack.clamp_min + into.low + stack.protrusion
        return stack.clamp_max + into.high + 2 * p, upper
    lower = stack.clamp_max + into.entry + into.entry_tol + need + 2 * p
    if into.thickness is None:
        return lower, stack.clamp_min + usable_depth(into) - p
    if stack.protrusion is None:
        return lower, None
    thinnest = into.thickness - into.thickness_tol
    return lower, stack.clamp_min + thinnest + stack.protrusion


def too_shallow(stack: Stack, need: Fraction) -> bool:
    """Whether the hole itself has too little thread for any screw."""
    into = stack.into
    if isinstance(into, NutSide):
        return False
    deepest_entry = into.entry + into.entry_tol
    p = pitch(stack.thread)
    if into.thickness is None:
        return usable_depth(into) - p - deepest_entry - 2 * p < need
    return into.thickness - into.thickness_tol - deepest_entry - into.exit < need


def margins(stack: Stack, screw: Screw, *, stated: bool = False) -> Margins:
    """How a screw meets the conditions of a stack."""
    need = needed(stack, screw.property_class, stated=stated)
    lower, upper = bounds(stack, need)
    tolerance = length_tolerance(screw.length)
    entry_min = Fraction(0)
    if isinstance(stack.into, Hole):
        entry_min = max(Fraction(0), stack.into.entry - stack.into.entry_tol)
    return Margins(
        screw.length - tolerance - lower,
        None if upper is None else upper - (screw.length + tolerance),
        stack.clamp_min + entry_min - first_full_thread(screw),
    )


def own_series(stack: Stack) -> Iterator[Screw]:
    """Every length of the group's standards, as if somebody sold it."""
    size = nominal(stack.thread)
    for standard in stack.standards:
        low, high = RANGES[standard, size]
        for length in SERIES:
            if low <= length <= high:
                yield Screw(None, standard, size, length, stack.property_class)


def candidates(stack: Stack, catalogue: Sequence[Screw]) -> list[Screw]:
    """All screws that fit the group: the catalogue's, else the standards' own."""
    if too_shallow(stack, needed(stack, stack.property_class)):
        return []
    listed = [
        screw
        for screw in catalogue
        if screw.standard in stack.standards
        and nominal(screw.thread) == nominal(stack.thread)
        and screw.property_class == stack.property_class
        and margins(stack, screw).fits()
    ]
    return listed or [s for s in own_series(stack) if margins(stack, s).fits()]


def why_none(stack: Stack) -> str:
    """Which condition fails when no screw fits, for one standard."""
    need = needed(stack, stack.property_class)
    if too_shallow(stack, need):
        return "too_little_engagement"
    lower, upper = bounds(stack, need)
    tolerance = tolerance_beyond(lower, diameter(stack.thread))
    if upper is not None and lower + tolerance > upper - tolerance:
        blind = isinstance(stack.into, Hole) and stack.into.thickness is None
        return "bottoms_out" if blind else "protrudes_too_far"
    in_window = [
        length
        for length in (screw.length for screw in own_series(stack))
        if length - length_tolerance(length) >= lower
        and (upper is None or length + length_tolerance(length) <= upper)
    ]
    return "shank_too_long" if in_window else "no_length_in_window"


def _merit(
    chosen: tuple[Screw, ...], stacks: list[Stack], fixed: set[int]
) -> tuple[object, ...]:
    lengths = [screw.length for screw in chosen]
    return (
        len(set(lengths) | fixed),
        sum(lengths),
        lengths,
        [
            (s.standards.index(screw.standard), not screw.preferred, screw.part or "")
            for screw, s in zip(chosen, stacks, strict=True)
        ],
    )


def size_joint(stacks: list[Stack], catalogue: list[Screw]) -> dict[str, Sized]:
    """The screw of every group of a joint in one build."""
    return dict(_size_joint(tuple(stacks), tuple(catalogue)))


@cache
def _size_joint(
    stacks: tuple[Stack, ...], catalogue: tuple[Screw, ...]
) -> dict[str, Sized]:
    found: dict[str, Sized] = {}
    for stack in stacks:
        if stack.stated is not None:
            margin = margins(stack, stack.stated, stated=True)
            need = needed(stack, stack.stated.property_class, stated=True)
            fits = margin.fits() and not too_shallow(stack, need)
            failure = None if fits else "stated_fails"
            found[stack.group] = Sized(
                stack.group, stack.stated, margin, failure, fixed=True
            )
    for kind in sorted({_kind(stack) for stack in stacks}):
        alike = [stack for stack in stacks if _kind(stack) == kind]
        fixed = {s.stated.length for s in alike if s.stated is not None}
        _size_alike([s for s in alike if s.stated is None], catalogue, fixed, found)
    return {stack.group: found[stack.group] for stack in stacks}


def _kind(stack: Stack) -> tuple[str, str]:
    """Thread and class of the group's screw: the stated one's own, if stated."""
    screw = stack.stated or stack
    return nominal(screw.thread), screw.property_class


def _size_alike(
    stacks: list[Stack],
    catalogue: Sequence[Screw],
    fixed: set[int],
    found: dict[str, Sized],
) -> None:
    offers = [candidates(stack, catalogue) for stack in stacks]
    for stack, offer in zip(stacks, offers, strict=True):
        if not offer:
            found[stack.group] = Sized(stack.group, None, None, why_none(stack))
    fitting = [s for s, offer in zip(stacks, offers, strict=True) if offer]
    options = [offer for offer in offers if offer]
    best = min(
        itertools.product(*options), key=lambda chosen: _merit(chosen, fitting, fixed)
    )
    for stack, screw in zip(fitting, best, strict=True):
        found[stack.group] = Sized(stack.group, screw, margins(stack, screw), None)
