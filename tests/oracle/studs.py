"""Studs of a document in one build, held against hole, stack and nut.

Reading taken:
- The set end is held like a screw's: least engagement after the point and the entry
  at least the stripping need; in a blind hole a pitch is left at the bottom.
- The free end, at its shortest, reaches through the thickest stack and the tallest
  nut by two pitches.
- A margin under 0.25 mm is thin; so is one that meets stripping and not the guide.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from tests.oracle.builds import Build, Model, Tree
from tests.oracle.joints import stack_of, the_part
from tests.oracle.screws import (
    Hole,
    NutSide,
    Stack,
    pitch,
    stripping_need,
    usable_depth,
)
from tests.oracle.screws import needed as full_need

THIN = Fraction(1, 4)


def stud_findings(model: Model, joint: str, group: Tree, build: Build) -> Iterator[str]:
    """The codes of what is wrong with a group's stud."""
    stud = the_part(model, joint, group["stud"]["position"], build)["stud"]
    sides = stack_of(model, joint, group, build)
    assert isinstance(sides.into, Hole)
    nut = nut_of(model, joint, group, build)
    lenient = _need(sides, sides.into, stud["property_class"])
    strict = full_need(sides, stud["property_class"])
    set_low, set_high = _span(stud, "set_mm", "set_")
    low, high = _span(stud, "length_mm", "")
    p = pitch(stud["hole_thread"])
    entry = sides.into.entry + sides.into.entry_tol
    engaged = set_low - 2 * p - entry
    over = _over(sides.into, set_high, p)
    free = low - set_high - sides.clamp_max - nut.high - 2 * pitch(stud["nut_thread"])
    tip = high - set_low - sides.clamp_min - nut.low
    reach = _reach(sides.into, engaged, entry)
    sticks_out = sides.protrusion is not None and tip > sides.protrusion
    if reach < lenient or free < 0 or (over is not None and over < 0) or sticks_out:
        yield "screw_stated_fails"
        return
    spare = [engaged - lenient, free] + ([] if over is None else [over])
    if min(spare) < THIN or engaged < strict:
        yield "screw_thin_margin"


def _span(figures: Tree, name: str, prefix: str) -> tuple[Fraction, Fraction]:
    middle = Fraction(str(figures[name]))
    both = figures.get(f"{prefix}tol", 0)
    plus, minus = (
        Fraction(str(figures.get(f"{prefix}{way}", both))) for way in ("plus", "minus")
    )
    return middle - minus, middle + plus


def _need(stack: Stack, hole: Hole, property_class: str) -> Fraction:
    if stack.engagement is not None:
        return stack.engagement
    return stripping_need(hole, property_class)


def _over(hole: Hole, set_high: Fraction, p: Fraction) -> Fraction | None:
    if hole.thickness is not None:
        return None
    return usable_depth(hole) - p - set_high


def _reach(hole: Hole, engaged: Fraction, entry: Fraction) -> Fraction:
    """Least engagement: a through hole ends."""
    if hole.thickness is None:
        return engaged
    return min(engaged, hole.thickness - hole.thickness_tol - entry - hole.exit)


def nut_of(model: Model, joint: str, group: Tree, build: Build) -> NutSide:
    """The nut on the free end."""
    nut = the_part(model, joint, group["into"]["nut"], build)["nut"]
    low, high = _span(nut, "height_mm", "")
    return NutSide(low, high)
