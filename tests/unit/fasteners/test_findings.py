"""What is reported about a screw: forms, margins, failures in words."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from bomsvc.core.fasteners import size_joint
from bomsvc.core.fasteners.bounds import Bounds
from bomsvc.core.fasteners.candidates import length_text
from bomsvc.core.fasteners.kinds import INCH
from bomsvc.core.fasteners.names import get_screw_standard
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
from tests.unit.fasteners.stacks import COVER, GASKET, HOLE, SOCKET, STORY_H, F, screw


def test_a_bolt_with_a_nut_has_no_engagement_but_a_tip() -> None:
    nut = NutSide(F("8.4"), minus=F("0.36"))
    bolt = Wanted(("ISO 4014",), "M10", "8.8")
    layers = (Layer("plates", F(28), F("0.8"), F("0.8")),)
    sized = size_joint([GroupStack("n", nut, layers, bolt)])[0]
    assert sized.chosen is not None
    assert sized.margins is not None
    assert (sized.need, sized.engagement_mm) == (None, None)
    assert sized.margins.over is None
    assert sized.tip_mm == (F("7.3"), F("10.26"))
    assert sized.window_mm == (F("40.7"), None)
    tight = GroupStack("n", nut, layers, bolt, protrusion_mm=F(9))
    failure = size_joint([tight])[0].failure
    assert failure is not None
    assert failure.reason == "no_length_in_window"
    assert "no length from 40.7 mm to 43.74 mm" in failure_detail(failure)
    tighter = replace(tight, protrusion_mm=F(3))
    failure = size_joint([tighter])[0].failure
    assert failure is not None
    assert failure.reason == "protrudes_too_far"
    assert failure_detail(failure) == (
        "A screw needs a nominal length of at least 40.7 mm to engage and at most "
        "37.74 mm not to protrude too far: 2.96 mm apart."
    )


def test_a_tapped_through_hole_limits_what_engages() -> None:
    through = TappedThrough("M10", "steel", F(12), F(1), F(1), exit_mm=F(1))
    screw = Wanted(("ISO 4017",), "M10", "8.8")
    group = GroupStack("t", through, (Layer("lid", F(20)),), screw)
    sized = size_joint([group])[0]
    assert sized.chosen is not None
    assert sized.engagement_mm == (F(10), F(12))
    assert sized.chosen.length_mm == 35
    assert sized.tip_mm == (F("1.5"), F("4.5"))


def test_a_hole_that_breaks_into_coolant_asks_for_sealant() -> None:
    wet = replace(HOLE, breaks_into="coolant")
    assert "sealant_on_thread" in size_joint([replace(STORY_H, into=wet)])[0].cautions


def test_a_gasket_still_free_may_keep_the_screw_from_starting() -> None:
    thick = replace(GASKET, free_mm=F(15))
    sized = size_joint([replace(STORY_H, layers=(COVER, thick))])[0]
    assert sized.chosen is not None
    (warning,) = sized.warnings()
    assert warning.code == "screw_hard_to_start"
    # 54.4 - 3 - 1.25 - (35.1 + 14.1) engages 0.95 mm, where a pitch is 1.5 mm.
    assert "0.55 mm short" in warning.detail


def test_a_gasket_that_lets_the_screw_start_does_not_warn() -> None:
    thin = replace(GASKET, free_mm=F("1.2"))
    assert size_joint([replace(STORY_H, layers=(COVER, thin))])[0].warnings() == ()


@pytest.mark.parametrize("end", ["short", "over", "shank"])
def test_a_screw_exactly_on_a_bound_is_inside_it(end: str) -> None:
    # ISO 4017 M10 x 35: 34.5 to 35.5 long, full thread from 4.5, point 3.
    lid = {"short": F("21.5"), "over": F(20), "shank": F("4.5")}[end]
    depth = {"short": F(40), "over": F(17), "shank": F(60)}[end]
    hole = BlindHole("M10", "steel", threaded_mm=depth)
    only = Shelf([screw("W", 35, "ISO 4017")])

    def fits(lid_mm: Fraction, depth_mm: Fraction) -> bool:
        group = GroupStack(
            "g",
            replace(hole, threaded_mm=depth_mm),
            (Layer("lid", lid_mm),),
            Wanted(("ISO 4017",), "M10", "10.9"),
            shelf=only,
            own_series=False,
            engagement_mm=F(10),
        )
        sized = size_joint([group])[0]
        if sized.margins is not None:
            assert getattr(sized.margins, end) == 0
        return sized.chosen is not None

    hair = F(1, 10**9)
    assert fits(lid, depth)
    if end == "over":
        assert not fits(lid, depth - hair)
    else:
        assert not fits(lid + (hair if end == "short" else -hair), depth)


def test_a_part_tapped_through_counts_at_its_thinnest() -> None:
    thin = TappedThrough("M10", "steel", F(12), F(1), F(1))
    group = GroupStack("t", thin, (COVER,), SOCKET, engagement_mm=F("11.5"))
    failure = size_joint([group])[0].failure
    assert failure is not None
    assert (failure.have_mm, failure.by_mm) == (F(11), F("0.5"))


def test_a_margin_of_exactly_a_quarter_does_not_warn() -> None:
    hole = replace(HOLE, threaded_mm=F("22.85"))
    sized = size_joint([replace(STORY_H, into=hole)])[0]
    assert sized.margins is not None
    assert sized.margins.over == F("0.25")
    assert sized.findings == ()


def test_a_thin_margin_is_told_by_its_end() -> None:
    hole = replace(HOLE, threaded_mm=F("22.7"))
    sized = size_joint([replace(STORY_H, into=hole)])[0]
    (warning,) = sized.warnings()
    assert warning.detail == ("Thin margin: only 0.1 mm before the screw is too long.")


def test_no_length_of_any_standard_says_who_came_nearest() -> None:
    both = Wanted(("ISO 4014", "ISO 4017"), "M12", "8.8")
    hole = BlindHole("M12", "grey_iron", threaded_mm=F("28.5"), entry_mm=F("1.5"))
    layers = (Layer("lid", F(52), F("0.2"), F("0.2")),)
    sized = size_joint([GroupStack("g", hole, layers, both)])[0]
    assert sized.failure is not None
    assert sized.failure.standard == "ISO 4014"
    assert failure_detail(sized.failure) == (
        "ISO 4014 has no length from 72.8 mm to 77.95 mm; the next shorter is 70 mm "
        "and the next longer is 80 mm. The nearest misses by 2.05 mm."
    )
    assert [r.length_mm for r in sized.rejected] == [70, 80]


def test_a_shank_too_long_offers_the_fully_threaded_twin() -> None:
    hole = BlindHole("M10", "aluminium", threaded_mm=F(40), entry_mm=F(1))
    lid = (Layer("lid", F(12)),)
    for standard, remedy in (
        ("ISO 4014", "ISO 4017 is threaded up to the head."),
        ("ISO 15071", "A screw threaded up to the head would do."),
    ):
        wanted = Wanted((standard,), "M10", "10.9")
        group = GroupStack("g", hole, lid, wanted, engagement_mm=F(27))
        failure = size_joint([group])[0].failure
        assert failure is not None
        assert failure.reason == "shank_too_long"
        assert failure_detail(failure).endswith(remedy)
    stated = Screw("W", "ISO 4014", "M10", F(45), "10.9")
    group = GroupStack("g", hole, lid, stated=(stated,), engagement_mm=F(25))
    failure = size_joint([group])[0].failure
    assert failure is not None
    assert failure_detail(failure) == (
        "45 mm would be the length, but full thread may begin only 19 mm below the "
        "head and must begin by 13 mm: 6 mm too much shank. ISO 4017 is threaded up "
        "to the head."
    )


def test_a_joint_may_keep_to_its_shelf() -> None:
    group = replace(STORY_H, shelf=Shelf([screw("W50", 50)]), own_series=False)
    sized = size_joint([group])[0]
    assert sized.failure is not None
    assert sized.failure.shorter_mm == 50
    assert sized.failure.longer_mm is None
    empty = replace(group, shelf=Shelf())
    sized = size_joint([empty])[0]
    assert sized.failure is not None
    assert (sized.failure.by_mm, sized.window_mm, sized.rejected) == (None, None, ())
    assert failure_detail(sized.failure) == ("The standard is not made in this thread.")


def test_two_numbers_of_one_length_reject_it_only_together() -> None:
    hole = BlindHole("M10", "steel", threaded_mm=F(60))
    offers = [
        screw("SHANK50", 50, "ISO 4014"),
        screw("FULL45", 45, "ISO 4014", fully_threaded=True),
        screw("FULL50", 50, "ISO 4014", fully_threaded=True),
        screw("SHANK55", 55, "ISO 4014"),
    ]
    wanted = Wanted(("ISO 4014",), "M10", "10.9")
    lid = (Layer("lid", F(20)),)
    sized = size_joint([GroupStack("g", hole, lid, wanted, shelf=Shelf(offers))])[0]
    assert sized.chosen is not None
    assert sized.chosen.part == "FULL45"
    assert [a.part for a in sized.alternatives] == ["FULL50"]
    assert [r.length_mm for r in sized.rejected] == [55]


def test_a_hopeless_hole_lists_what_was_tried() -> None:
    short = replace(HOLE, threaded_mm=F(18))
    rejected = size_joint([replace(STORY_H, into=short)])[0].rejected
    assert [r.length_mm for r in rejected] == [50, 55]
    reasons = [[m.reason for m in r.misses] for r in rejected]
    assert reasons == [["too_little_engagement"], ["bottoms_out"]]


def test_inch_lengths_are_printed_as_fractions() -> None:
    assert length_text(F("1.75") * INCH, inch=True) == "1-3/4 in"
    assert length_text(F("0.625") * INCH, inch=True) == "5/8 in"
    assert length_text(2 * INCH, inch=True) == "2 in"
    assert length_text(F(50), inch=True) == "1.9685 in"
    assert length_text(F("12.5"), inch=False) == "12.5"


def test_the_window_stops_where_the_tolerance_steps_up() -> None:
    # js15 is 0.5 mm up to 50 and 0.6 beyond: with room for 50.55 only 50 itself comes,
    # and below the first step the window counts from there.
    bands = get_screw_standard("ISO 4762").bands(F(10))
    nil = F(0), F(0)

    def window(lower: str, upper: str) -> tuple[Fraction, Fraction | None]:
        ends = F(lower), F(upper)
        bounds = Bounds("blind", F(3), (F(0), *nil), *ends, F(0), F(0), F(0), F(0), nil)
        return bounds.window(bands)

    assert window("49.6", "50.55") == (F("50.2"), F(50))
    assert window("0.1", "0.2") == (F("0.3"), F(0))
