"""Stated screws are the line, checked like the others."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from bomsvc.core.fasteners import size_joint
from bomsvc.core.fasteners.sentences import failure_detail
from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    Layer,
    NutSide,
    Screw,
    Shelf,
    TappedThrough,
    Wanted,
)
from tests.unit.fasteners.stacks import HOLE, SOCKET, STORY_H, F, screw


def test_a_stated_screw_is_the_line_even_when_it_fails() -> None:
    stated = replace(STORY_H, stated=(screw("W60", 60),), shelf=Shelf())
    sized = size_joint([stated])[0]
    assert sized.chosen is not None
    assert sized.failure is not None
    assert sized.computed is not None
    assert sized.margins is not None
    assert sized.chosen.part == "W60"
    assert (sized.failure.reason, sized.failure.by_mm) == ("bottoms_out", F("3.6"))
    assert sized.computed.designation == "ISO 4762 - M10 x 55 - 10.9"
    assert sized.margins.over == F("-3.6")
    (fault,) = sized.faults()
    assert fault.code == "screw_stated_fails"
    assert fault.detail == (
        "W60 is stated. A length of 60 mm bottoms out: 3.6 mm too long for the hole. "
        "By the sizing, ISO 4762 - M10 x "
        "55 - 10.9 would do."
    )


def test_a_stated_screw_that_holds_is_simply_the_line() -> None:
    sized = size_joint([replace(STORY_H, stated=(screw("W55", 55),))])[0]
    assert sized.chosen is not None
    assert (sized.chosen.part, sized.failure, sized.findings) == ("W55", None, ())
    assert sized.computed is None
    assert sized.rejected == ()


def test_a_stated_screw_below_the_guide_but_above_stripping_only_warns() -> None:
    # 12.483 mm keep the thread; the guide asks 12.5. Engaged here: 12.49.
    clamp = Layer("cover", F("54.4") - 3 - F("1.25") - F("12.49"))
    group = GroupStack(
        "g", HOLE, (clamp,), SOCKET, stated=(screw("W55", 55),), hole_count=4
    )
    sized = size_joint([group])[0]
    assert sized.failure is None
    assert sized.faults() == ()
    assert sized.margins is not None
    assert sized.margins.short == F("-0.01")
    assert [w.code for w in sized.warnings()] == ["screw_thin_margin"] * 2
    assert sized.warnings()[1].detail == (
        "The stated screw engages 12.49 mm at least: more than the 12.483 mm that "
        "keep the thread from stripping, less than the guide of 12.5 mm."
    )
    thicker = replace(group, layers=(replace(clamp, mm=clamp.mm + F("0.01")),))
    failed = size_joint([thicker])[0].failure
    assert failed is not None
    assert failed.by_mm == F("0.003")


def test_two_stated_screws_that_apply_are_a_fault() -> None:
    group = replace(STORY_H, stated=(screw("W55", 55), screw("W50", 50)))
    sized = size_joint([group])[0]
    assert sized.chosen is not None
    assert sized.chosen.part == "W55"
    assert [f.code for f in sized.faults()] == ["screw_stated_overlap"]
    assert "W55 and W50 are both stated" in sized.findings[0].detail


def test_a_stated_screw_of_another_thread_fails_and_says_so() -> None:
    fine = replace(screw("W55", 55, "ISO 8765"), thread="M10x1.25")
    sized = size_joint([replace(STORY_H, stated=(fine,))])[0]
    assert sized.failure is not None
    assert sized.failure.reason == "wrong_thread"
    assert sized.margins is None
    assert "M10x1.25 does not go into M10x1.5" in sized.faults()[0].detail
    assert sized.computed is not None


@pytest.mark.parametrize(
    ("into", "form"),
    [
        (HOLE, "blind"),
        (TappedThrough("M10x1.5", "steel", F(30)), "through"),
        (NutSide(F(8), thread="M10x1.5"), "nut"),
    ],
)
def test_a_joint_that_wants_another_thread_than_its_hole_fails(
    into: BlindHole | TappedThrough | NutSide, form: str
) -> None:
    wanted = Wanted(("ISO 8765",), "M10x1.25", "10.9")
    sized = size_joint([replace(STORY_H, into=into, wanted=wanted)])[0]
    assert sized.chosen is None
    assert sized.failure is not None
    assert (sized.failure.reason, sized.failure.form) == ("wrong_thread", form)
    stated = replace(STORY_H, into=into, wanted=wanted, stated=(screw("W", 90),))
    assert size_joint([stated])[0].computed is None


def test_a_stated_screw_needs_no_wanted_kind() -> None:
    group = replace(STORY_H, wanted=None, stated=(screw("W60", 60),))
    sized = size_joint([group])[0]
    assert sized.computed is None
    assert sized.faults()[0].detail == (
        "W60 is stated. A length of 60 mm bottoms out: 3.6 mm too long for the hole."
    )


def test_when_nothing_else_would_do_either_it_says_so() -> None:
    short = replace(HOLE, threaded_mm=F(18))
    group = replace(STORY_H, into=short, stated=(replace(screw("W", 55), part=None),))
    detail = size_joint([group])[0].faults()[0].detail
    assert detail.startswith("ISO 4762 - M10 x 55 - 10.9 is stated. The hole offers")
    assert detail.endswith("By the sizing, nothing else would do either.")


def test_a_stated_screw_in_a_hole_too_thin_for_its_class_strips() -> None:
    thin = TappedThrough("M10", "aluminium", F(10))
    group = replace(STORY_H, into=thin, stated=(screw("W90", 90),))
    failure = size_joint([group])[0].failure
    assert failure is not None
    assert failure.reason == "too_little_engagement"
    assert failure.have_mm == 10
    assert "(10 mm thickness)" in failure_detail(failure)


def test_the_thread_a_stated_screw_really_has_decides_its_shank() -> None:
    def shank(**thread: Any) -> Fraction:
        stated = replace(screw("W", 55, "ISO 4014"), **thread)
        margins = size_joint([replace(STORY_H, stated=(stated,))])[0].margins
        assert margins is not None
        assert margins.shank is not None
        return margins.shank

    grip = F("35.25")
    assert shank() == grip - (55 - 26)
    assert shank(thread_mm=F(35)) == grip - 20
    assert shank(thread_mm=F(80)) == grip - F("4.5")
    assert shank(fully_threaded=True) == grip - F("4.5")


def test_a_socket_screw_said_to_have_a_shank_gets_its_reference_thread() -> None:
    # Threaded up to the head up to 40 mm as a rule; this one is not.
    thick = replace(HOLE, threaded_mm=F(40))
    for told, first in ((None, F("4.5")), (False, F(8))):
        stated = replace(screw("W", 40), fully_threaded=told)
        group = GroupStack("g", thick, (Layer("lid", F(20)),), stated=(stated,))
        margins = size_joint([group])[0].margins
        assert margins is not None
        assert margins.shank == 20 + F("0.75") - first


def test_a_screw_outside_its_standards_sizes_is_still_computed() -> None:
    stated = Screw("W", "ISO 4762", "M18", F(100), "10.9")
    group = GroupStack(
        "g",
        BlindHole("M18", "steel", threaded_mm=F(60)),
        (Layer("lid", F(60)),),
        stated=(stated,),
    )
    assert size_joint([group])[0].failure is None
