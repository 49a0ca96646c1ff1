"""The drawings of a joint sheet: to scale, plain, readable in grey."""

from __future__ import annotations

import itertools
import json
import re
from dataclasses import replace

import pytest

from bomsvc.core.fasteners.sheet import (
    Bore,
    HoleSpot,
    joint_sheet,
)
from bomsvc.core.fasteners.sheet.stack_section import LETTERS
from bomsvc.core.fasteners.sheet.view import tip_told
from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    Layer,
    NutSide,
    Screw,
)
from bomsvc.service.replies.sheet import sheet_form
from tests.unit.fasteners.joints import (
    ALL,
    BOLT,
    GASKET,
    NOTHING,
    OUTLINE,
    PAN,
    PASSES,
    RAIL,
    REAR,
    STUDS,
    SVG,
    THROUGH,
    F,
    ask_for,
    every_svg,
    parsed,
    said_in,
    sheet_of,
    spots,
)


def test_every_drawing_is_plain_svg_that_a_strict_policy_draws() -> None:
    sheet = sheet_of(*ALL, outline=OUTLINE, bores=(Bore((F(60), F(20)), F(30)),))
    ids: list[str] = []
    for svg in every_svg(sheet):
        for element in parsed(svg).iter():
            assert element.tag != f"{SVG}style"
            assert "style" not in element.attrib
            assert not any(name.startswith("on") for name in element.attrib)
            assert "href" not in " ".join(element.attrib)
            ids += [element.attrib["id"]] if "id" in element.attrib else []
        root = parsed(svg)
        assert root.attrib["role"] == "img"
        title, desc = root.attrib["aria-labelledby"].split()
        assert {title, desc} <= set(ids)
    assert len(ids) == len(set(ids))
    assert len(sheet.stack_svgs) == len(ALL)


def test_text_from_the_catalogue_never_becomes_markup() -> None:
    nasty = replace(PAN, name='<script>"&')
    sheet = sheet_of(replace(RAIL, layers=(nasty, GASKET)))
    assert "<script>" not in sheet.stack_svgs[0]
    assert any('<script>"&' in said for said in said_in(sheet.stack_svgs[0]))


def test_holes_stand_on_the_map_to_scale_with_y_upwards() -> None:
    sheet = sheet_of(RAIL, REAR, outline=OUTLINE, passes=PASSES)
    said = said_in(sheet.map_svg)
    assert [s for s in said if s.startswith("#")][:4] == ["#1", "#2", "#3", "#4"]
    assert [s for s in said if re.fullmatch(r"\d+\.", s)] == ["3.", "1.", "2.", "4."]
    circles = [
        (float(e.attrib["cx"]), float(e.attrib["cy"]))
        for e in parsed(sheet.map_svg).iter(f"{SVG}circle")
        if "screw-shape" in e.attrib["class"]
    ][:3]
    assert circles[1][0] - circles[0][0] == circles[2][0] - circles[1][0] > 0
    squares = [e for e in parsed(sheet.map_svg).iter(f"{SVG}polygon")
               if "screw-shape" in e.attrib["class"]]  # fmt: skip
    corner = squares[0].attrib["points"].split()[0].split(",")
    assert float(corner[1]) < circles[0][1]
    assert sheet.screw_map is not None
    assert sheet.screw_map.marks[3].at == (F(0), F(40))
    assert "tightening-path" in (sheet.map_svg or "")


def test_the_legend_counts_and_names_each_screw() -> None:
    assert "3 x ISO 15071 - M10 x 35 - 10.9 (W40.2035)" in said_in(
        sheet_of(RAIL).map_svg
    )


def test_marks_shrink_before_they_touch_and_stay_readable() -> None:
    def radius(gap: int) -> float:
        ask = ask_for(RAIL)
        close = ask.groups[0]._replace(holes=spots((0, 0), (gap, 0), (400, 0)))
        svg = joint_sheet(ask._replace(groups=(close,))).map_svg
        first = next(
            e for e in parsed(svg).iter(f"{SVG}circle")
            if "screw-shape" in e.attrib["class"]
        )  # fmt: skip
        return float(first.attrib["r"])

    assert radius(200) == 14.3
    assert 7.7 < radius(16) < 14.3
    assert radius(2) == 7.7


def test_a_hole_without_a_place_is_named_and_not_drawn() -> None:
    ask = ask_for(RAIL)
    some = ask.groups[0]._replace(holes=(HoleSpot(1, (F(0), F(0))), HoleSpot(2)))
    sheet = joint_sheet(ask._replace(groups=(some,)))
    assert "Holes without a place on the map: 2." in sheet.notes
    assert any("Not on the map" in said for said in said_in(sheet.map_svg))
    none = ask.groups[0]._replace(holes=(HoleSpot(1), HoleSpot(2)))
    sheet = joint_sheet(ask._replace(groups=(none,)))
    assert (sheet.map_svg, sheet.screw_map) == (None, None)


def _band(svg: str, name: str) -> tuple[float, float]:
    rect = next(
        e for e in parsed(svg).iter(f"{SVG}rect")
        if e.attrib.get("class", "").endswith(name)
    )  # fmt: skip
    return float(rect.attrib["y"]), float(rect.attrib["height"])


def test_a_stack_is_drawn_to_scale() -> None:
    sheet = sheet_of(REAR)
    svg = sheet.stack_svgs[0]
    rects = [
        (float(e.attrib["y"]), float(e.attrib["height"]))
        for e in parsed(svg).iter(f"{SVG}rect")
        if "stack-layer" in e.attrib["class"]
    ]
    pan, gasket, adapter, base = rects
    per_mm = pan[1] / 14
    assert adapter[1] == pytest.approx(20 * per_mm, abs=0.02)
    assert gasket[1] == pytest.approx(0.8 * per_mm, abs=0.02)
    assert base[0] == pytest.approx(pan[0] + 34.8 * per_mm, abs=0.02)
    screw = next(e for e in parsed(svg).iter(f"{SVG}polygon")
                 if e.attrib["class"] == "stack-screw")  # fmt: skip
    ys = [float(p.split(",")[1]) for p in screw.attrib["points"].split()]
    assert max(ys) - min(ys) == pytest.approx(55 * per_mm, abs=0.02)
    assert min(ys) == pytest.approx(pan[0], abs=0.02)


def test_a_stack_tells_its_layers_and_measures() -> None:
    said = said_in(sheet_of(REAR).stack_svgs[0])
    for text in ("pan flange 14 mm", "gasket 0.8 mm", "adapter plate 20 mm",
                 "grey iron", "clamp 34.8 mm", "34.4 to 35.2", "15.2 engaged",
                 "12.5 needed", "5.8 mm", "to last thread"):  # fmt: skip
        assert text in said


def test_a_screw_past_the_last_thread_is_drawn_and_told() -> None:
    long = Screw("L", "ISO 4762", "M10", F(50), "10.9")
    said = said_in(sheet_of(replace(RAIL, stated=(long,))).stack_svgs[0])
    assert "past last thread" in said


def test_a_screw_of_another_thread_is_drawn_without_engagement() -> None:
    fine = Screw("W", "ISO 8676", "M10x1.25", F(35), "10.9")
    said = said_in(sheet_of(replace(RAIL, stated=(fine,))).stack_svgs[0])
    assert not any("engaged" in text for text in said)


def test_a_bolt_and_a_stud_tell_how_far_they_stand_out() -> None:
    bolt, stud, through = (
        said_in(svg) for svg in sheet_of(BOLT, STUDS, THROUGH).stack_svgs
    )
    assert "nut 8.4 mm" in bolt
    assert "tip 6.98" in bolt
    assert "to 8.58 beyond" in bolt
    assert "tip 25.4" in stud
    assert "tip 1.38" in through


@pytest.mark.parametrize(
    ("least", "most", "told"),
    [
        ("-4.08", "-1.52", ("tip 1.52", "to 4.08 inside")),
        ("-0.5", "1", ("tip 0.5 inside", "to 1 beyond")),
        ("0", "1", ("tip 0", "to 1 beyond")),
    ],
)
def test_a_tip_that_stays_inside_a_through_hole_is_not_said_to_stand_out(
    least: str, most: str, told: tuple[str, str]
) -> None:
    assert tip_told(F(least), F(most)) == told


def test_where_nothing_fits_the_stack_is_drawn_without_a_screw() -> None:
    svg = sheet_of(NOTHING).stack_svgs[0]
    assert "no screw fits" in said_in(svg)
    assert "stack-screw" not in svg
    assert "grey iron" in said_in(svg)
    bare = replace(NOTHING, into=NutSide(F(8), thread="M12"))
    assert "nut 8 mm" in said_in(sheet_of(bare).stack_svgs[0])


def test_a_screw_outside_its_standards_table_gets_a_plain_head() -> None:
    odd = GroupStack(
        "g",
        BlindHole("M18", "steel", drilled_mm=F(60)),
        (Layer("lid", F(60)),),
        stated=(Screw("W", "ISO 4762", "M18", F(100), "10.9"),),
    )
    view = sheet_of(odd).stacks[0]
    assert view.fastener is not None
    assert view.fastener.head_width == F("28.8")


def test_a_long_name_is_broken_and_then_cut() -> None:
    names = (
        "distance piece behind the upper rear timing cover of the second bank",
        "x" * 60,
        "spacer under the left bracket",
    )
    layers = tuple(Layer(name, F(8)) for name in names)
    said = said_in(sheet_of(replace(RAIL, layers=layers)).stack_svgs[0])
    assert "distance piece behind" in said
    assert all(len(text) <= LETTERS + 1 for text in said if "x" * 10 in text)
    assert any(text.endswith("\N{HORIZONTAL ELLIPSIS}") for text in said)
    assert "bracket 8 mm" in said


def test_the_same_joint_gives_the_same_bytes() -> None:
    assert sheet_of(*ALL, passes=PASSES) == sheet_of(*ALL, passes=PASSES)


def test_labels_of_thin_layers_do_not_run_into_one_another() -> None:
    shims = tuple(Layer(f"shim {n}", F("0.3")) for n in range(6))
    svg = sheet_of(replace(RAIL, layers=(*shims, PAN))).stack_svgs[0]
    ys = [
        float(e.attrib["y"]) for e in parsed(svg).iter(f"{SVG}text")
        if "stack-note" in e.attrib.get("class", "")
    ]  # fmt: skip
    assert len(ys) == 8
    assert all(b - a >= 15 for a, b in itertools.pairwise(ys))
    assert max(ys) < float(parsed(svg).attrib["height"])


def test_the_sheet_travels_as_plain_json() -> None:
    bores = (Bore((F(60), F(20)), F(30)),)
    form = sheet_form(sheet_of(*ALL, passes=PASSES, outline=OUTLINE, bores=bores))
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
    ask = ask_for(NOTHING)
    bare = ask._replace(groups=(ask.groups[0]._replace(holes=()),))
    assert sheet_form(joint_sheet(bare))["map"] is None
