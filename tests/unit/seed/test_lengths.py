"""Joints whose screws change length with what the engine is made of."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo


def length_mm(demo: Demo, answers: dict[str, Any], joint: str) -> Fraction:
    """Length of the joint's screws, all of them alike."""
    found = demo.lists(answers, joints=[joint])
    assert found.faults == ()
    (form,) = found.joints
    chosen = {
        sized.screw.chosen.length_mm
        for sized in form.groups
        if sized.screw is not None and sized.screw.chosen is not None
    }
    (length,) = chosen
    return length


@pytest.mark.parametrize(
    ("joint", "thin", "thick", "longer_by"),
    [
        ("jacket_door_rim", {"plant": "north"}, {"plant": "south"}, 10),
        ("rocker_shaft_clamp[2]", {"brake": "none"}, {"brake": "bleed"}, 10),
        ("head_water_face", {"use": "pump"}, {"use": "boat"}, 5),
        ("idler_plate_face", {"gears": "plain"}, {"idler": "roller"}, 5),
    ],
)
def test_a_thicker_part_in_the_stack_takes_longer_screws(
    demo: Demo,
    joint: str,
    thin: dict[str, Any],
    thick: dict[str, Any],
    longer_by: int,
) -> None:
    longer = length_mm(demo, thick, joint) - length_mm(demo, thin, joint)
    assert longer == longer_by
