"""The screws of a joint: what is chosen, what is reported, what fails and why."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from bomsvc.core.fasteners import bound_group, choose, size_joint
from bomsvc.core.fasteners.candidates import length_text, unreadable
from bomsvc.core.fasteners.cover import fewest_lengths
from bomsvc.core.fasteners.kinds import INCH
from bomsvc.core.fasteners.sentences import failure_detail, need_detail
from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    Layer,
    Need,
    NutSide,
    Screw,
    Shelf,
    TappedThrough,
    Wanted,
)
from bomsvc.core.terms.problems import BadInput

F = Fraction
COVER = Layer("cover", F(34), F("0.2"), F("0.2"))
GASKET = Layer("gasket", F("0.8"), F("0.1"), F("0.1"), soft=True)
HOLE = BlindHole(
    "M10x1.5",
    "grey_iron",
    threaded_mm=F(24),
    entry_mm=F(1),
    entry_plus=F("0.25"),
    entry_minus=F("0.25"),
)
SOCKET = Wanted(("ISO 4762",), "M10", "10.9")
STORY_H = GroupStack("h", HOLE, (COVER, GASKET), SOCKET)


def _screw(part: str, mm: int, standard: str = "ISO 4762", **rest: Any) -> Screw:
    return Screw(part, standard, "M10", F(mm), "10.9", **rest)


def test_the_technicians_screw_comes_with_every_figure_that_proves_it() -> None:
    sized = size_joint([STORY_H])[0]
    assert sized.chosen is not None
    assert sized.margins is not None
    assert sized.need is not None
    assert sized.chosen.designation == "ISO 4762 - M10 x 55 - 10.9"
    assert not sized.chosen.fully_threaded
    assert sized.clamp_mm == (F("34.8"), F("34.5"), F("35.1"))
    assert sized.window_mm == (F("52.45"), F("56.4"))
    assert (sized.need.mm, sized.need.governs) == (F("12.5"), "guide")
    assert sized.need.stripping_mm == F("12.483")
    assert sized.engagement_mm == (F("15.05"), F("20.35"))
    assert sized.margins == (F("2.55"), F("1.4"), F("12.25"))
    assert [(r.length_mm, r.misses[0].reason) for r in sized.rejected] == [
        (F(50), "too_little_engagement"),
        (F(60), "bottoms_out"),
    ]
    assert sized.findings == ()
    assert "clean_dry_blind_hole" in sized.cautions


def test_with_only_18_mm_of_thread_it_says_what_is_missing() -> None:
    short = replace(STORY_H, into=replace(HOLE, threaded_mm=F(18)))
    sized = size_joint([short])[0]
    assert sized.chosen is None
    assert sized.failure is not None
    assert sized.failure.reason == "too_little_engagement"
    assert sized.failure.by_mm == F("0.25")
    assert failure_detail(sized.failure) == (
        "The hole offers at most 12.25 mm of engaged thread (18 mm depth of full "
        "thread less 1.5 mm clearance, 1.25 mm entry, 3 mm point); 12.5 mm are "
        "needed: 0.25 mm are missing."
    )
    assert [f.code for f in sized.faults()] == ["screw_none_fits"]


def test_a_drilled_depth_counts_less_the_run_out() -> None:
    drilled = replace(HOLE, threaded_mm=None, drilled_mm=F("31.3"))
    sized = size_joint([replace(STORY_H, into=drilled)])[0]
    assert sized == size_joint([STORY_H])[0]


def test_a_higher_stripping_need_governs_over_the_guide() -> None:
    weak = replace(HOLE, strength_mpa=F(200), threaded_mm=F(40))
    sized = size_joint([replace(STORY_H, into=weak)])[0]
    assert sized.need is not None
    assert sized.need.governs == "stripping"
    assert sized.need.mm == sized.need.stripping_mm == F("15.604")


def test_a_stated_engagement_replaces_the_computed_need() -> None:
    sized = size_joint([replace(STORY_H, engagement_mm=F(8))])[0]
    assert sized.need is not None
    assert (sized.need.mm, sized.need.governs) == (F(8), "stated")
    assert sized.chosen is not None
    assert sized.chosen.length_mm == 50
    assert need_detail(sized.need) == (
        "8 mm needed as the joint states (stripping 12.483 mm, guide 12.5 mm)"
    )
    assert need_detail(Need(F(9), "guide", F(8), F(9))) == (
        "9 mm needed, guide governs (stripping 8 mm, guide 9 mm)"
    )


def test_a_catalogue_screw_is_taken_before_the_standards_own_series() -> None:
    shelf = Shelf([_screw("W1", 55), _screw("W2", 60), _screw("W3", 50)])
    sized = size_joint([replace(STORY_H, shelf=shelf)])[0]
    assert sized.chosen is not None
    assert (sized.chosen.part, sized.chosen.origin) == ("W1", "catalogue")
    assert sized.findings == ()


def test_a_length_no_number_stands_for_is_a_fault_with_its_designation() -> None:
    shelf = Shelf([_screw("W3", 50)])
    plated = replace(SOCKET, finish="zinc")
    sized = size_joint([replace(STORY_H, shelf=shelf, wanted=plated)])[0]
    assert sized.chosen is not None
    assert sized.chosen.part is None
    assert [f.code for f in sized.faults()] == ["screw_not_listed"]
    assert sized.findings[0].detail == (
        "ISO 4762 - M10 x 55 - 10.9 fits, but the catalogue has no number for it. "
        "Finish wanted: zinc."
    )


def test_one_shelf_serves_joints_of_different_kinds() -> None:
    shelf = Shelf([_screw("W1", 55), _screw("W2", 60, "ISO 4014")])
    for standard, part in (("ISO 4762", "W1"), ("ISO 4014", None), ("ISO 4762", "W1")):
        wanted = replace(SOCKET, standards=(standard,))
        group = replace(STORY_H, shelf=shelf, wanted=wanted)
        for sized in size_joint([group, group]):
            assert sized.chosen is not None
            assert sized.chosen.part == part
            assert bool(sized.faults()) == (part is None)


def test_only_the_wanted_finish_is_offered() -> None:
    shelf = Shelf([_screw("PLAIN", 55), _screw("ZINC", 55, finish="Zinc  flake")])
    wanted = replace(SOCKET, finish="zinc flake")
    sized = size_joint([replace(STORY_H, shelf=shelf, wanted=wanted)])[0]
    assert sized.chosen is not None
    assert sized.chosen.part == "ZINC"


def test_equal_lengths_go_by_standard_then_preference_then_number() -> None:
    either = replace(SOCKET, standards=("ISO 4014", "ISO 4762"))
    offers = [
        _screw("A", 55),
        _screw("C", 55, "ISO 4014"),
        _screw("B", 55, "ISO 4014"),
        _screw("D", 55, "ISO 4014", preferred=True),
    ]

    def part(*screws: Screw) -> str | None:
        group = replace(STORY_H, shelf=Shelf(screws), wanted=either)
        chosen = size_joint([group])[0].chosen
        return chosen.part if chosen else None

    assert part(*offers) == "D"
    assert part(*offers[:3]) == "B"
    assert part(*offers[:1]) == "A"


def test_alternatives_are_the_other_screws_that_fit() -> None:
    shelf = Shelf([_screw("W1", 55), _screw("W0", 55)])
    sized = size_joint([replace(STORY_H, shelf=shelf)])[0]
    assert [a.part for a in sized.alternatives] == ["W1"]


def test_screws_nobody_can_read_are_no_candidates_and_can_be_told() -> None:
    odd = [
        replace(_screw("X1", 55), thread="G1/4"),
        replace(_screw("X2", 55), standard="OWN 1"),
        replace(_screw("X3", 55), property_class="4.6"),
    ]
    shelf = Shelf([*odd, _screw("W1", 55)])
    sized = size_joint([replace(STORY_H, shelf=shelf)])[0]
    assert sized.chosen is not None
    assert sized.chosen.part == "W1"
    assert sized.alternatives == ()
    assert [s.part for s in unreadable(shelf.screws)] == ["X1", "X2", "X3"]


def test_unknown_words_of_a_joint_are_bad_input() -> None:
    with pytest.raises(BadInput):
        size_joint([replace(STORY_H, wanted=replace(SOCKET, thread="M11"))])


def test_inch_and_metric_are_not_combined() -> None:
    inch = replace(SOCKET, standards=("ASME B18.3",))
    with pytest.raises(BadInput, match="one is inch"):
        size_joint([replace(STORY_H, wanted=inch)])
    odd = _screw("X", 55, "ASME B18.3")
    with pytest.raises(BadInput, match="has no thread"):
        size_joint([replace(STORY_H, stated=(odd,))])
    assert unreadable([odd]) == (odd,)


def test_a_hole_without_strength_is_bad_input() -> None:
    with pytest.raises(BadInput, match="holds no thread"):
        size_joint([replace(STORY_H, into=replace(HOLE, strength_mpa=F(0)))])


def test_an_inch_socket_between_the_rows_follows_their_rule() -> None:
    # 9/16 is not in the table; 2D + 0.50 in gives 1.625 in of thread.
    hole = BlindHole("9/16-12", "steel", threaded_mm=F(60))
    stated = Screw("W", "ASME B18.3", "9/16-12", 4 * INCH, "A574")
    group = GroupStack("g", hole, (Layer("lid", 3 * INCH),), stated=(stated,))
    margins = size_joint([group])[0].margins
    assert margins is not None
    assert margins.shank == (3 - (4 - F("1.625"))) * INCH


# -- across the groups of a joint ------------------------------------------------


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


# -- stated screws ------------------------------------------------------------------


def test_a_stated_screw_is_the_line_even_when_it_fails() -> None:
    stated = replace(STORY_H, stated=(_screw("W60", 60),), shelf=Shelf())
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
        "W60 is stated. 60 mm bottoms out by 3.6 mm. By the sizing, ISO 4762 - M10 x "
        "55 - 10.9 would do."
    )


def test_a_stated_screw_that_holds_is_simply_the_line() -> None:
    sized = size_joint([replace(STORY_H, stated=(_screw("W55", 55),))])[0]
    assert sized.chosen is not None
    assert (sized.chosen.part, sized.failure, sized.findings) == ("W55", None, ())
    assert sized.computed is None
    assert sized.rejected == ()


def test_a_stated_screw_below_the_guide_but_above_stripping_only_warns() -> None:
    # 12.483 mm keep the thread; the guide asks 12.5. Engaged here: 12.49.
    clamp = Layer("cover", F("54.4") - 3 - F("1.25") - F("12.49"))
    group = GroupStack(
        "g", HOLE, (clamp,), SOCKET, stated=(_screw("W55", 55),), hole_count=4
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
    group = replace(STORY_H, stated=(_screw("W55", 55), _screw("W50", 50)))
    sized = size_joint([group])[0]
    assert sized.chosen is not None
    assert sized.chosen.part == "W55"
    assert [f.code for f in sized.faults()] == ["screw_stated_overlap"]
    assert "W55 and W50 are both stated" in sized.findings[0].detail


def test_a_stated_screw_of_another_thread_fails_and_says_so() -> None:
    fine = replace(_screw("W55", 55, "ISO 8765"), thread="M10x1.25")
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
    stated = replace(STORY_H, into=into, wanted=wanted, stated=(_screw("W", 90),))
    assert size_joint([stated])[0].computed is None


def test_a_stated_screw_needs_no_wanted_kind() -> None:
    group = replace(STORY_H, wanted=None, stated=(_screw("W60", 60),))
    sized = size_joint([group])[0]
    assert sized.computed is None
    assert sized.faults()[0].detail == "W60 is stated. 60 mm bottoms out by 3.6 mm."


def test_when_nothing_else_would_do_either_it_says_so() -> None:
    short = replace(HOLE, threaded_mm=F(18))
    group = replace(STORY_H, into=short, stated=(replace(_screw("W", 55), part=None),))
    detail = size_joint([group])[0].faults()[0].detail
    assert detail.startswith("ISO 4762 - M10 x 55 - 10.9 is stated. The hole offers")
    assert detail.endswith("By the sizing, nothing else would do either.")


def test_a_stated_screw_in_a_hole_too_thin_for_its_class_strips() -> None:
    thin = TappedThrough("M10", "aluminium", F(10))
    group = replace(STORY_H, into=thin, stated=(_screw("W90", 90),))
    failure = size_joint([group])[0].failure
    assert failure is not None
    assert failure.reason == "too_little_engagement"
    assert failure.have_mm == 10
    assert "(10 mm thickness)" in failure_detail(failure)


def test_the_thread_a_stated_screw_really_has_decides_its_shank() -> None:
    def shank(**thread: Any) -> Fraction:
        stated = replace(_screw("W", 55, "ISO 4014"), **thread)
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
        stated = replace(_screw("W", 40), fully_threaded=told)
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


# -- forms and findings ---------------------------------------------------------------


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
    only = Shelf([_screw("W", 35, "ISO 4017")])

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
    group = replace(STORY_H, shelf=Shelf([_screw("W50", 50)]), own_series=False)
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
        _screw("SHANK50", 50, "ISO 4014"),
        _screw("FULL45", 45, "ISO 4014", fully_threaded=True),
        _screw("FULL50", 50, "ISO 4014", fully_threaded=True),
        _screw("SHANK55", 55, "ISO 4014"),
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
