"""The joint sheet: table, passes, notes and cautions."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from bomsvc.core.fasteners.sheet import (
    TighteningPass,
    joint_sheet,
)
from bomsvc.core.fasteners.sheet.rows import SHAPES, letters_of
from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    Screw,
    Wanted,
)
from tests.unit.fasteners.joints import (
    ADAPTER,
    ALL,
    BOLT,
    GASKET,
    HOLE,
    NOTHING,
    PAN,
    PASSES,
    RAIL,
    REAR,
    STUDS,
    THROUGH,
    F,
    ask_for,
    said_in,
    sheet_of,
)


def test_each_kind_of_screw_has_its_letter_and_shape() -> None:
    sheet = sheet_of(*ALL)
    letters = [(row.letter.letter, row.letter.shape) for row in sheet.rows]
    assert letters == list(zip("ABCDEF", SHAPES, strict=False))
    assert [row.size for row in sheet.rows] == [
        "M10 x 35",
        "M10 x 55",
        "M10 x 70",
        "M8 x 30",
        "M10x1.25 x 30",
        None,
    ]
    assert sheet.rows[0].part == "W40.2035"
    assert sheet.rows[0].holes == (1, 2, 3)
    assert sheet.rows[5].designation == "no screw fits"
    assert "too little" not in sheet.rows[0].trouble
    assert sheet.rows[5].trouble[0].startswith("The hole offers at most")


def test_groups_that_take_the_same_screw_share_their_letter() -> None:
    twin = replace(RAIL, code="a2", hole_count=2)
    sheet = sheet_of(RAIL, REAR, twin)
    assert [row.letter.letter for row in sheet.rows] == ["A", "B"]
    assert sheet.rows[0].groups == ("a", "a2")
    assert sheet.rows[0].hole_count == 5
    assert sheet.rows[0].holes == (1, 2, 3, 5, 6)
    assert len(sheet.stacks) == 3


def test_letters_and_shapes_do_not_run_out() -> None:
    lonely = [replace(NOTHING, code=f"g{n}") for n in range(30)]
    letters = letters_of(ask_for(*lonely).groups)
    assert len({x.letter for x in letters}) == 30
    assert letters[24].letter == "AA"
    assert "I" not in {x.letter for x in letters}


def test_nearly_equal_lengths_are_not_to_be_mixed() -> None:
    def notes(adapter: int) -> list[str]:
        layer = replace(ADAPTER, mm=F(adapter))
        return list(sheet_of(RAIL, replace(REAR, layers=(PAN, GASKET, layer))).notes)

    near = "Do not mix A and B: 35 mm and 45 mm look alike."
    assert near in notes(10)
    assert [n for n in notes(20) if n.startswith("Do not mix")] == []


def test_screws_of_other_diameters_cannot_be_mixed() -> None:
    sheet = sheet_of(RAIL, THROUGH, NOTHING)
    assert [n for n in sheet.notes if n.startswith("Do not mix")] == []


def test_inch_screws_are_told_in_inches() -> None:
    inch = Wanted(("ASME B18.2.1",), "3/8-16", "grade 5")
    hole = BlindHole("3/8-16", "steel", threaded_mm=F(40))
    one = GroupStack("a", hole, (replace(PAN, mm=F(16)),), inch)
    two = GroupStack("b", replace(hole, threaded_mm=F(24)), (PAN,), inch)
    short = Screw("S", "ASME B18.2.1", "3/8-16", F("25.4"), "5")
    sheet = sheet_of(one, replace(two, stated=(short,)))
    assert sheet.rows[0].size == "3/8-16 UNC x 1-1/4 in"
    assert "Do not mix A and B: 1-1/4 in and 1 in look alike." in sheet.notes


@pytest.mark.parametrize(
    ("threads", "breaks_into", "said"),
    [
        ("dry", "none", "clean and dry"),
        ("oiled", "none", "oiled lightly"),
        ("dry", "coolant", "clean and dry, and with sealant: the hole breaks into "
                           "coolant"),
        ("sealant", "oil", "with sealant: the hole breaks into oil"),
        ("locking", "none", "with locking compound"),
    ],
)  # fmt: skip
def test_how_the_threads_go_in(threads: Any, breaks_into: Any, said: str) -> None:
    hole = replace(HOLE, breaks_into=breaks_into)
    sheet = sheet_of(replace(RAIL, into=hole, threads=threads))
    assert sheet.rows[0].condition == said


def test_a_nut_has_no_hole_to_seal() -> None:
    assert sheet_of(BOLT).rows[0].condition == "clean and dry"


def test_the_row_carries_margins_reuse_and_name() -> None:
    ask = ask_for(RAIL)
    group = ask.groups[0]._replace(
        label="pan rail",
        part_name="flange screw",
        reuse="Single use.",
        deviations=("hole 2 has an insert",),
    )
    sheet = joint_sheet(ask._replace(groups=(group,)))
    row = sheet.rows[0]
    assert row.labels == ("pan rail",)
    assert (row.part_name, row.reuse) == ("flange screw", "Single use.")
    assert row.least_margin_mm == F("2.9")
    assert row.margins == (("a", "short 2.9, over 3.5, shank 11"),)
    assert sheet.deviations == ("pan rail: hole 2 has an insert",)
    assert "pan rail: stack" in said_in(sheet.stack_svgs[0])
    assert sheet_of(NOTHING).rows[0].margins == (("f", "-"),)


def test_the_estimate_stands_beside_or_says_why_not() -> None:
    rail, through, studs, nothing = (
        sheet_of(s).rows[0].estimate for s in (RAIL, THROUGH, STUDS, NOTHING)
    )
    assert rail is not None
    assert rail.refused[0].code == "soft_layer"
    assert through is not None
    assert through.torque_nm == Decimal(24)
    assert (studs, nothing) == (None, None)
    stated = sheet_of(THROUGH, friction=F("0.1")).rows[0].estimate
    assert stated is not None
    assert stated.friction == F("0.1")


def test_the_estimate_of_a_shared_letter_is_the_most_careful_one() -> None:
    hard = replace(RAIL, code="hard", layers=(replace(PAN, mm=F("14.8")),))
    estimate = sheet_of(hard, RAIL).rows[0].estimate
    assert estimate is not None
    assert [r.code for r in estimate.refused] == ["soft_layer"]


def test_passes_are_told_as_stated() -> None:
    sheet = sheet_of(
        RAIL, REAR, passes=PASSES, loosen_order=(1, 4), note="By hand first."
    )
    assert sheet.passes == (
        "Pass 1: A, B: 20 N.m, in the order 2, 3, 1, 4",
        "Pass 2: A: 90 N.m",
        "Pass 3: turn 90 degrees further",
        "Pass 4: A: loosen 180 degrees",
        "Pass 5: zz: to a stretch of 0.15 mm",
        "Pass 6: B: by hand",
    )
    assert "By hand first." in sheet.notes
    assert "Loosen in the order 1, 4." in sheet.notes


def test_a_stated_torque_beyond_the_screw_is_found() -> None:
    found = [(f.code, f.severity) for f in sheet_of(RAIL, passes=PASSES).findings]
    assert found == [("screw_overstressed", "warning")]
    whole = (TighteningPass(torque_nm=F(90)),)
    assert len(sheet_of(RAIL, NOTHING, STUDS, passes=whole).findings) == 2


def test_without_passes_the_makers_manual_is_named() -> None:
    note = "The catalogue states no tightening: take it from the maker's manual."
    assert note in sheet_of(RAIL).notes


def test_the_cautions_stand_on_every_sheet() -> None:
    cautions = sheet_of(REAR).cautions
    assert len(cautions) == 7
    assert cautions[0].startswith("The engine maker's current manual prevails")
    assert cautions[-1] == "Local codes and licensed practice prevail."
