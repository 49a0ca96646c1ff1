"""One group's screw: what is chosen, and from what."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bomsvc.core.fasteners import size_joint
from bomsvc.core.fasteners.candidates import unreadable
from bomsvc.core.fasteners.kinds import INCH
from bomsvc.core.fasteners.sentences import failure_detail, need_detail
from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    Layer,
    Need,
    Screw,
    Shelf,
)
from bomsvc.core.terms.problems import BadInput
from tests.unit.fasteners.stacks import HOLE, SOCKET, STORY_H, F, screw


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
    shelf = Shelf([screw("W1", 55), screw("W2", 60), screw("W3", 50)])
    sized = size_joint([replace(STORY_H, shelf=shelf)])[0]
    assert sized.chosen is not None
    assert (sized.chosen.part, sized.chosen.origin) == ("W1", "catalogue")
    assert sized.findings == ()


def test_a_length_no_number_stands_for_is_a_fault_with_its_designation() -> None:
    shelf = Shelf([screw("W3", 50)])
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
    shelf = Shelf([screw("W1", 55), screw("W2", 60, "ISO 4014")])
    for standard, part in (("ISO 4762", "W1"), ("ISO 4014", None), ("ISO 4762", "W1")):
        wanted = replace(SOCKET, standards=(standard,))
        group = replace(STORY_H, shelf=shelf, wanted=wanted)
        for sized in size_joint([group, group]):
            assert sized.chosen is not None
            assert sized.chosen.part == part
            assert bool(sized.faults()) == (part is None)


def test_only_the_wanted_finish_is_offered() -> None:
    shelf = Shelf([screw("PLAIN", 55), screw("ZINC", 55, finish="Zinc  flake")])
    wanted = replace(SOCKET, finish="zinc flake")
    sized = size_joint([replace(STORY_H, shelf=shelf, wanted=wanted)])[0]
    assert sized.chosen is not None
    assert sized.chosen.part == "ZINC"


def test_equal_lengths_go_by_standard_then_preference_then_number() -> None:
    either = replace(SOCKET, standards=("ISO 4014", "ISO 4762"))
    offers = [
        screw("A", 55),
        screw("C", 55, "ISO 4014"),
        screw("B", 55, "ISO 4014"),
        screw("D", 55, "ISO 4014", preferred=True),
    ]

    def part(*screws: Screw) -> str | None:
        group = replace(STORY_H, shelf=Shelf(screws), wanted=either)
        chosen = size_joint([group])[0].chosen
        return chosen.part if chosen else None

    assert part(*offers) == "D"
    assert part(*offers[:3]) == "B"
    assert part(*offers[:1]) == "A"


def test_alternatives_are_the_other_screws_that_fit() -> None:
    shelf = Shelf([screw("W1", 55), screw("W0", 55)])
    sized = size_joint([replace(STORY_H, shelf=shelf)])[0]
    assert [a.part for a in sized.alternatives] == ["W1"]


def test_screws_nobody_can_read_are_no_candidates_and_can_be_told() -> None:
    odd = [
        replace(screw("X1", 55), thread="G1/4"),
        replace(screw("X2", 55), standard="OWN 1"),
        replace(screw("X3", 55), property_class="4.6"),
    ]
    shelf = Shelf([*odd, screw("W1", 55)])
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
    odd = screw("X", 55, "ASME B18.3")
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
