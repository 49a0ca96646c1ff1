"""Studs are stated and checked at both ends."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bomsvc.core.fasteners import size_joint
from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    Layer,
    NutSide,
    SizedGroup,
    Stud,
    StudInto,
    TappedThrough,
)

F = Fraction
STUD = Stud("T1", "M10", "M10x1.25", "8.8", F(70), set_mm=F(20), set_plus=F("0.5"))
HOLE = BlindHole("M10x1.5", "grey_iron", threaded_mm=F(24), entry_mm=F(1))
NUT = NutSide(F("8.4"), minus=F("0.36"), thread="M10x1.25")
LID = (Layer("lid", F(30), F("0.5"), F("0.5")),)
GROUP = GroupStack("s", StudInto(HOLE, NUT, STUD), LID)


def _sized(**stud: object) -> SizedGroup:
    changed = replace(STUD, **stud)  # type: ignore[arg-type]
    return size_joint([replace(GROUP, into=StudInto(HOLE, NUT, changed))])[0]


def _fails(sized: SizedGroup) -> tuple[str, Fraction | None, bool]:
    assert sized.failure is not None
    assert [f.code for f in sized.faults()] == ["screw_stated_fails"]
    return sized.failure.reason, sized.failure.by_mm, sized.failure.at_nut


def test_a_stud_that_holds_at_both_ends() -> None:
    sized = size_joint([GROUP])[0]
    assert sized.chosen is not None
    assert sized.stud is not None
    assert sized.margins is not None
    assert sized.chosen.designation == "stud - M10 / M10x1.25 x 70 - 8.8"
    assert sized.failure is None
    # Set end: 20 less 1 of entry and 3 of point; the guide asks 1.25 d.
    assert sized.engagement_mm == (F(16), F("16.5") + 3)
    assert sized.margins.short == F("3.5")
    assert sized.margins.over == 24 - F("1.5") - F("20.5")
    # Free end: 70 - 20.5 = 49.5 against 30.5 + 8.4 + 2.5.
    assert sized.stud.free_min_mm == F("49.5")
    assert sized.stud.free_needed_mm == F("41.4")
    assert sized.stud.free_margin_mm == F("8.1")
    assert sized.tip_mm == (F("10.6"), F("12.46"))
    assert sized.findings == ()


def test_a_stud_of_one_thread_names_it_once() -> None:
    chosen = _sized(nut_thread="M10", hole_thread="M10").chosen
    assert chosen is not None
    assert chosen.designation == "stud - M10 x 70 - 8.8"


def test_a_set_end_too_short_to_hold() -> None:
    sized = _sized(set_mm=F(13), set_plus=F(0))
    assert _fails(sized) == ("too_little_engagement", F("0.603"), False)
    assert sized.faults()[0].detail == (
        "T1 is stated. The stud's set end engages 9 mm at least and needs 9.603 mm: "
        "0.603 mm off."
    )


def test_a_set_end_below_the_guide_only_warns() -> None:
    sized = _sized(set_mm=F(15), set_plus=F(0))
    assert sized.failure is None
    assert sized.margins is not None
    assert sized.margins.short == F("-1.5")
    assert [w.code for w in sized.warnings()] == ["screw_thin_margin"]
    assert "less than the guide of 12.5 mm" in sized.warnings()[0].detail


def test_a_stated_engagement_holds_a_stud_to_itself() -> None:
    group = replace(GROUP, engagement_mm=F(17))
    sized = size_joint([group])[0]
    assert _fails(sized) == ("too_little_engagement", F(1), False)


def test_a_set_end_that_bottoms_out() -> None:
    sized = _sized(set_mm=F(22), set_plus=F(1), length_mm=F(80))
    assert _fails(sized) == ("bottoms_out", F("0.5"), False)
    assert "comes to 23 mm at most and has room for 22.5 mm" in sized.findings[0].detail


def test_a_free_end_too_short_for_stack_nut_and_point() -> None:
    sized = _sized(length_mm=F(60), part=None)
    assert _fails(sized) == ("too_little_engagement", F("1.9"), True)
    assert sized.faults()[0].detail == (
        "The stud is stated. The stud's free end reaches 39.5 mm at least and needs "
        "41.4 mm for stack, nut and point: 1.9 mm off."
    )


def test_a_free_end_that_protrudes_too_far() -> None:
    sized = size_joint([replace(GROUP, protrusion_mm=F(10))])[0]
    assert _fails(sized) == ("protrudes_too_far", F("2.46"), True)
    assert size_joint([replace(GROUP, protrusion_mm=F(13))])[0].failure is None


def test_a_stud_with_little_to_spare_warns() -> None:
    sized = _sized(length_mm=F(62))
    assert [w.detail for w in sized.warnings()] == [
        "Thin margin: only 0.1 mm to spare on the stud."
    ]


def test_a_stud_must_match_its_hole_and_its_nut() -> None:
    assert _fails(_sized(hole_thread="M10x1.25"))[0] == "wrong_thread"
    assert _fails(_sized(nut_thread="M10"))[0] == "wrong_thread"
    loose = replace(GROUP, into=StudInto(HOLE, replace(NUT, thread=None), STUD))
    assert size_joint([loose])[0].failure is None


def test_a_stud_in_a_tapped_through_hole_has_no_bottom() -> None:
    through = TappedThrough("M10", "steel", F(15))
    group = replace(GROUP, into=StudInto(through, NUT, STUD))
    sized = size_joint([group])[0]
    assert sized.failure is None
    assert sized.margins is not None
    assert sized.margins.over is None
    assert sized.engagement_mm == (F(15), F(15))
    thin = replace(GROUP, into=StudInto(replace(through, thickness_mm=F(4)), NUT, STUD))
    assert _fails(size_joint([thin])[0])[0] == "too_little_engagement"


def test_a_stud_that_stays_says_so() -> None:
    sized = _sized(stays=True)
    assert sized.stud is not None
    assert sized.stud.stays
