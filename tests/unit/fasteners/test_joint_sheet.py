"""The joint sheet: which screw goes where, drawn to scale and readable in grey."""

from __future__ import annotations

import itertools
import json
import re
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any
from xml.etree.ElementTree import Element

import pytest
from defusedxml.ElementTree import fromstring  # type: ignore[import-untyped]

from bomsvc.core.fasteners import size_joint
from bomsvc.core.fasteners.sheet import (
    Bore,
    HoleSpot,
    JointSheet,
    SheetAsk,
    SheetGroup,
    TighteningPass,
    joint_sheet,
)
from bomsvc.core.fasteners.sheet.rows import SHAPES, letters_of
from bomsvc.core.fasteners.sheet.stack_section import LETTERS
from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    Layer,
    NutSide,
    Screw,
    Shelf,
    Stud,
    StudInto,
    TappedThrough,
    Wanted,
)
from bomsvc.service.replies.sheet import sheet_form

F = Fraction
SVG = "{http://www.w3.org/2000/svg}"
HOLE = BlindHole("M10", "grey_iron", threaded_mm=F(26), entry_mm=F(1))
PAN = Layer("pan flange", F(14), F("0.2"), F("0.2"))
GASKET = Layer("gasket", F("0.8"), F("0.1"), F("0.1"), soft=True)
ADAPTER = Layer("adapter plate", F(20), F("0.1"), F("0.1"))
FLANGE = Wanted(("ISO 15071",), "M10", "10.9")
SHELF = Shelf(
    [Screw(f"W40.2{mm:03d}", "ISO 15071", "M10", F(mm), "10.9")
     for mm in (35, 40, 45, 50, 55, 60)]
)  # fmt: skip
NUT = NutSide(F("8.4"), minus=F("0.36"), thread="M10x1.25")
RAIL = GroupStack("a", HOLE, (PAN, GASKET), FLANGE, hole_count=3, shelf=SHELF)
REAR = GroupStack(
    "b", replace(HOLE, breaks_into="oil"), (PAN, GASKET, ADAPTER), FLANGE, shelf=SHELF
)
STUDS = GroupStack(
    "c",
    StudInto(
        HOLE, NUT, Stud("T1", "M10", "M10x1.25", "10.9", F(70), set_mm=F(22))
    ),
    (PAN,),
)  # fmt: skip
THROUGH = GroupStack(
    "d",
    TappedThrough("M8", "steel", F(14), exit_mm=F(1)),
    (PAN,),
    Wanted(("ISO 4762",), "M8", "8.8"),
    hole_count=2,
)
BOLT = GroupStack("e", NUT, (PAN,), Wanted(("ISO 8676",), "M10x1.25", "10.9"))
NOTHING = GroupStack(
    "f", replace(HOLE, threaded_mm=F(9)), (PAN,), Wanted(("ISO 4017",), "M10", "8.8")
)


def _spots(*points: tuple[int, int], first: int = 1) -> tuple[HoleSpot, ...]:
    return tuple(
        HoleSpot(number, (F(x), F(y))) for number, (x, y) in enumerate(points, first)
    )


def _ask(*stacks: GroupStack, **rest: Any) -> SheetAsk:
    sized = size_joint(stacks)
    groups, number = [], 1
    for row, (stack, one) in enumerate(zip(stacks, sized, strict=True)):
        points = [(60 * k, 40 * row) for k in range(stack.hole_count)]
        groups.append(SheetGroup(stack, one, _spots(*points, first=number)))
        number += stack.hole_count
    return SheetAsk("rail", "Pan rail", tuple(groups), **rest)


def _sheet(*stacks: GroupStack, **rest: Any) -> JointSheet:
    return joint_sheet(_ask(*stacks, **rest))


def _parsed(svg: str | None) -> Element:
    assert svg is not None
    return fromstring(svg)  # type: ignore[no-any-return]


def _said(svg: str | None) -> list[str]:
    return [element.text or "" for element in _parsed(svg).iter(f"{SVG}text")]


def _every_svg(sheet: JointSheet) -> list[str]:
    return [*([sheet.map_svg] if sheet.map_svg else []), *sheet.stack_svgs]


ALL = RAIL, REAR, STUDS, THROUGH, BOLT, NOTHING


def test_each_kind_of_screw_has_its_letter_and_shape() -> None:
    sheet = _sheet(*ALL)
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
    sheet = _sheet(RAIL, REAR, twin)
    assert [row.letter.letter for row in sheet.rows] == ["A", "B"]
    assert sheet.rows[0].groups == ("a", "a2")
    assert sheet.rows[0].hole_count == 5
    assert sheet.rows[0].holes == (1, 2, 3, 5, 6)
    assert len(sheet.stacks) == 3


def test_letters_and_shapes_do_not_run_out() -> None:
    lonely = [replace(NOTHING, code=f"g{n}") for n in range(30)]
    letters = letters_of(_ask(*lonely).groups)
    assert len({x.letter for x in letters}) == 30
    assert letters[24].letter == "AA"
    assert "I" not in {x.letter for x in letters}


def test_nearly_equal_lengths_are_not_to_be_mixed() -> None:
    def notes(adapter: int) -> list[str]:
        layer = replace(ADAPTER, mm=F(adapter))
        return list(_sheet(RAIL, replace(REAR, layers=(PAN, GASKET, layer))).notes)

    near = "Do not mix A and B: 35 mm and 45 mm look alike."
    assert near in notes(10)
    assert [n for n in notes(20) if n.startswith("Do not mix")] == []


def test_screws_of_other_diameters_cannot_be_mixed() -> None:
    sheet = _sheet(RAIL, THROUGH, NOTHING)
    assert [n for n in sheet.notes if n.startswith("Do not mix")] == []


def test_inch_screws_are_told_in_inches() -> None:
    inch = Wanted(("ASME B18.2.1",), "3/8-16", "grade 5")
    hole = BlindHole("3/8-16", "steel", threaded_mm=F(40))
    one = GroupStack("a", hole, (replace(PAN, mm=F(16)),), inch)
    two = GroupStack("b", replace(hole, threaded_mm=F(24)), (PAN,), inch)
    short = Screw("S", "ASME B18.2.1", "3/8-16", F("25.4"), "5")
    sheet = _sheet(one, replace(two, stated=(short,)))
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
    sheet = _sheet(replace(RAIL, into=hole, threads=threads))
    assert sheet.rows[0].condition == said


def test_a_nut_has_no_hole_to_seal() -> None:
    assert _sheet(BOLT).rows[0].condition == "clean and dry"


def test_the_row_carries_margins_reuse_and_name() -> None:
    ask = _ask(RAIL)
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
    assert "pan rail: stack" in _said(sheet.stack_svgs[0])
    assert _sheet(NOTHING).rows[0].margins == (("f", "-"),)


def test_the_estimate_stands_beside_or_says_why_not() -> None:
    rail, through, studs, nothing = (
        _sheet(s).rows[0].estimate for s in (RAIL, THROUGH, STUDS, NOTHING)
    )
    assert rail is not None
    assert rail.refused[0].code == "soft_layer"
    assert through is not None
    assert through.torque_nm == Decimal(24)
    assert (studs, nothing) == (None, None)
    stated = _sheet(THROUGH, friction=F("0.1")).rows[0].estimate
    assert stated is not None
    assert stated.friction == F("0.1")


def test_the_estimate_of_a_shared_letter_is_the_most_careful_one() -> None:
    hard = replace(RAIL, code="hard", layers=(replace(PAN, mm=F("14.8")),))
    estimate = _sheet(hard, RAIL).rows[0].estimate
    assert estimate is not None
    assert [r.code for r in estimate.refused] == ["soft_layer"]


PASSES = (
    TighteningPass(("a", "b"), (2, 3, 1, 4), F(20)),
    TighteningPass(("a",), torque_nm=F(90)),
    TighteningPass((), angle_deg=F(90)),
    TighteningPass(("a",), loosen_deg=F(180)),
    TighteningPass(("zz",), stretch_mm=F("0.15")),
    TighteningPass(("b",)),
)


def test_passes_are_told_as_stated() -> None:
    sheet = _sheet(
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
    found = [(f.code, f.severity) for f in _sheet(RAIL, passes=PASSES).findings]
    assert found == [("screw_overstressed", "warning")]
    whole = (TighteningPass(torque_nm=F(90)),)
    assert len(_sheet(RAIL, NOTHING, STUDS, passes=whole).findings) == 2


def test_without_passes_the_makers_manual_is_named() -> None:
    note = "The catalogue states no tightening: take it from the maker's manual."
    assert note in _sheet(RAIL).notes


def test_the_cautions_stand_on_every_sheet() -> None:
    cautions = _sheet(REAR).cautions
    assert len(cautions) == 7
    assert cautions[0].startswith("The engine maker's current manual prevails")
    assert cautions[-1] == "Local codes and licensed practice prevail."


# -- drawings -------------------------------------------------------------------------

OUTLINE = ((F(-10), F(-10)), (F(130), F(-10)), (F(130), F(50)), (F(-10), F(50)))


def test_every_drawing_is_plain_svg_that_a_strict_policy_draws() -> None:
    sheet = _sheet(*ALL, outline=OUTLINE, bores=(Bore((F(60), F(20)), F(30)),))
    ids: list[str] = []
    for svg in _every_svg(sheet):
        for element in _parsed(svg).iter():
            assert element.tag != f"{SVG}style"
            assert "style" not in element.attrib
            assert not any(name.startswith("on") for name in element.attrib)
            assert "href" not in " ".join(element.attrib)
            ids += [element.attrib["id"]] if "id" in element.attrib else []
        root = _parsed(svg)
        assert root.attrib["role"] == "img"
        title, desc = root.attrib["aria-labelledby"].split()
        assert {title, desc} <= set(ids)
    assert len(ids) == len(set(ids))
    assert len(sheet.stack_svgs) == len(ALL)


def test_text_from_the_catalogue_never_becomes_markup() -> None:
    nasty = replace(PAN, name='<script>"&')
    sheet = _sheet(replace(RAIL, layers=(nasty, GASKET)))
    assert "<script>" not in sheet.stack_svgs[0]
    assert any('<script>"&' in said for said in _said(sheet.stack_svgs[0]))


def test_holes_stand_on_the_map_to_scale_with_y_upwards() -> None:
    sheet = _sheet(RAIL, REAR, outline=OUTLINE, passes=PASSES)
    said = _said(sheet.map_svg)
    assert [s for s in said if s.startswith("#")][:4] == ["#1", "#2", "#3", "#4"]
    assert [s for s in said if re.fullmatch(r"\d+\.", s)] == ["3.", "1.", "2.", "4."]
    circles = [
        (float(e.attrib["cx"]), float(e.attrib["cy"]))
        for e in _parsed(sheet.map_svg).iter(f"{SVG}circle")
        if "screw-shape" in e.attrib["class"]
    ][:3]
    assert circles[1][0] - circles[0][0] == circles[2][0] - circles[1][0] > 0
    squares = [e for e in _parsed(sheet.map_svg).iter(f"{SVG}polygon")
               if "screw-shape" in e.attrib["class"]]  # fmt: skip
    corner = squares[0].attrib["points"].split()[0].split(",")
    assert float(corner[1]) < circles[0][1]
    assert sheet.screw_map is not None
    assert sheet.screw_map.marks[3].at == (F(0), F(40))
    assert "tightening-path" in (sheet.map_svg or "")


def test_the_legend_counts_and_names_each_screw() -> None:
    assert "3 x ISO 15071 - M10 x 35 - 10.9 (W40.2035)" in _said(_sheet(RAIL).map_svg)


def test_marks_shrink_before_they_touch_and_stay_readable() -> None:
    def radius(gap: int) -> float:
        ask = _ask(RAIL)
        close = ask.groups[0]._replace(holes=_spots((0, 0), (gap, 0), (400, 0)))
        svg = joint_sheet(ask._replace(groups=(close,))).map_svg
        first = next(
            e for e in _parsed(svg).iter(f"{SVG}circle")
            if "screw-shape" in e.attrib["class"]
        )  # fmt: skip
        return float(first.attrib["r"])

    assert radius(200) == 14.3
    assert 7.7 < radius(16) < 14.3
    assert radius(2) == 7.7


def test_a_hole_without_a_place_is_named_and_not_drawn() -> None:
    ask = _ask(RAIL)
    some = ask.groups[0]._replace(holes=(HoleSpot(1, (F(0), F(0))), HoleSpot(2)))
    sheet = joint_sheet(ask._replace(groups=(some,)))
    assert "Holes without a place on the map: 2." in sheet.notes
    assert any("Not on the map" in said for said in _said(sheet.map_svg))
    none = ask.groups[0]._replace(holes=(HoleSpot(1), HoleSpot(2)))
    sheet = joint_sheet(ask._replace(groups=(none,)))
    assert (sheet.map_svg, sheet.screw_map) == (None, None)


def _band(svg: str, name: str) -> tuple[float, float]:
    rect = next(
        e for e in _parsed(svg).iter(f"{SVG}rect")
        if e.attrib.get("class", "").endswith(name)
    )  # fmt: skip
    return float(rect.attrib["y"]), float(rect.attrib["height"])


def test_a_stack_is_drawn_to_scale() -> None:
    sheet = _sheet(REAR)
    svg = sheet.stack_svgs[0]
    rects = [
        (float(e.attrib["y"]), float(e.attrib["height"]))
        for e in _parsed(svg).iter(f"{SVG}rect")
        if "stack-layer" in e.attrib["class"]
    ]
    pan, gasket, adapter, base = rects
    per_mm = pan[1] / 14
    assert adapter[1] == pytest.approx(20 * per_mm, abs=0.02)
    assert gasket[1] == pytest.approx(0.8 * per_mm, abs=0.02)
    assert base[0] == pytest.approx(pan[0] + 34.8 * per_mm, abs=0.02)
    screw = next(e for e in _parsed(svg).iter(f"{SVG}polygon")
                 if e.attrib["class"] == "stack-screw")  # fmt: skip
    ys = [float(p.split(",")[1]) for p in screw.attrib["points"].split()]
    assert max(ys) - min(ys) == pytest.approx(55 * per_mm, abs=0.02)
    assert min(ys) == pytest.approx(pan[0], abs=0.02)


def test_a_stack_tells_its_layers_and_measures() -> None:
    said = _said(_sheet(REAR).stack_svgs[0])
    for text in ("pan flange 14 mm", "gasket 0.8 mm", "adapter plate 20 mm",
                 "grey iron", "clamp 34.8 mm", "34.4 to 35.2", "15.2 engaged",
                 "12.5 needed", "5.8 mm", "to last thread"):  # fmt: skip
        assert text in said


def test_a_screw_past_the_last_thread_is_drawn_and_told() -> None:
    long = Screw("L", "ISO 4762", "M10", F(50), "10.9")
    said = _said(_sheet(replace(RAIL, stated=(long,))).stack_svgs[0])
    assert "past last thread" in said


def test_a_screw_of_another_thread_is_drawn_without_engagement() -> None:
    fine = Screw("W", "ISO 8676", "M10x1.25", F(35), "10.9")
    said = _said(_sheet(replace(RAIL, stated=(fine,))).stack_svgs[0])
    assert not any("engaged" in text for text in said)


def test_a_bolt_and_a_stud_tell_how_far_they_stand_out() -> None:
    bolt, stud, through = (
        _said(svg) for svg in _sheet(BOLT, STUDS, THROUGH).stack_svgs
    )
    assert "nut 8.4 mm" in bolt
    assert "tip 6.98" in bolt
    assert "to 8.58 beyond" in bolt
    assert "tip 25.4" in stud
    assert "tip 1.38" in through


def test_where_nothing_fits_the_stack_is_drawn_without_a_screw() -> None:
    svg = _sheet(NOTHING).stack_svgs[0]
    assert "no screw fits" in _said(svg)
    assert "stack-screw" not in svg
    assert "grey iron" in _said(svg)
    bare = replace(NOTHING, into=NutSide(F(8), thread="M12"))
    assert "nut 8 mm" in _said(_sheet(bare).stack_svgs[0])


def test_a_screw_outside_its_standards_table_gets_a_plain_head() -> None:
    odd = GroupStack(
        "g",
        BlindHole("M18", "steel", drilled_mm=F(60)),
        (Layer("lid", F(60)),),
        stated=(Screw("W", "ISO 4762", "M18", F(100), "10.9"),),
    )
    view = _sheet(odd).stacks[0]
    assert view.fastener is not None
    assert view.fastener.head_width == F("28.8")


def test_a_long_name_is_broken_and_then_cut() -> None:
    names = (
        "distance piece behind the upper rear timing cover of the second bank",
        "x" * 60,
        "spacer under the left bracket",
    )
    layers = tuple(Layer(name, F(8)) for name in names)
    said = _said(_sheet(replace(RAIL, layers=layers)).stack_svgs[0])
    assert "distance piece behind" in said
    assert all(len(text) <= LETTERS + 1 for text in said if "x" * 10 in text)
    assert any(text.endswith("\N{HORIZONTAL ELLIPSIS}") for text in said)
    assert "bracket 8 mm" in said


def test_the_same_joint_gives_the_same_bytes() -> None:
    assert _sheet(*ALL, passes=PASSES) == _sheet(*ALL, passes=PASSES)


def test_labels_of_thin_layers_do_not_run_into_one_another() -> None:
    shims = tuple(Layer(f"shim {n}", F("0.3")) for n in range(6))
    svg = _sheet(replace(RAIL, layers=(*shims, PAN))).stack_svgs[0]
    ys = [
        float(e.attrib["y"]) for e in _parsed(svg).iter(f"{SVG}text")
        if "stack-note" in e.attrib.get("class", "")
    ]  # fmt: skip
    assert len(ys) == 8
    assert all(b - a >= 15 for a, b in itertools.pairwise(ys))
    assert max(ys) < float(_parsed(svg).attrib["height"])


def test_the_sheet_travels_as_plain_json() -> None:
    bores = (Bore((F(60), F(20)), F(30)),)
    form = sheet_form(_sheet(*ALL, passes=PASSES, outline=OUTLINE, bores=bores))
    assert json.loads(json.dumps(form)) == form
    rows = form["rows"]
    assert isinstance(rows, list)
    assert [row["letter"] for row in rows] == list("ABCDEF")
    assert rows[0]["margins"] == {"a": "short 2.9, over 3.5, shank 11"}
    assert rows[0]["estimate"]["torque_nm"] is None
    assert rows[5]["least_margin_mm"] is None
    drawn = form["map"]
    assert isinstance(drawn, dict)
    assert drawn["marks"][0] == {
        "hole": 1, "at": [0, 0], "letter": "A", "shape": "circle", "turn": 3,
    }  # fmt: skip
    assert drawn["bores"] == [{"at": [60, 20], "d_mm": 30}]
    ask = _ask(NOTHING)
    bare = ask._replace(groups=(ask.groups[0]._replace(holes=()),))
    assert sheet_form(joint_sheet(bare))["map"] is None
