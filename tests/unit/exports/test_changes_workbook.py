"""The changes between two revisions as a workbook that people work down."""

from __future__ import annotations

import io
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from bomsvc.exports.changed import render_changes, sheets
from bomsvc.exports.changes import ChangesPaper

SHEETS = ["Changes", "Lists and work", "Builds", "Engines on file", "Document"]
HEAD = 4
BUILD = {"sump": "rear", "extras": ["heater", "block"], "serial": 210440}


def place(**more: Any) -> dict[str, Any]:
    return {
        "position": "pan",
        "label": "Oil pan",
        "differs": "list",
        "when": "Oil sump is rear.",
        "terms": 1,
        "complete": True,
        "settled": True,
        "build": BUILD,
        "shown": "The usual build, except serial number 210440.",
        "detail": "Before: W40.1. After: W40.2.",
        **more,
    }


def reply(**more: Any) -> dict[str, Any]:
    return {
        "since": {"family": "whimbrel", "number": 2, "digest": "a" * 64},
        "revision": {"family": "whimbrel", "number": 3, "digest": "b" * 64},
        "document": {
            "parts": {"added": ["=1+1"], "removed": ["W40.1"], "edited": []},
            "steps": {
                "added": [],
                "removed": [],
                "edited": [{"at": "pan_off", "fields": ["minutes_off", "tools"]}],
            },
        },
        "comparable": True,
        "places": [
            place(),
            place(label="=cmd|x", complete=False, differs="alternates"),
            place(position="cover", settled=False, build=None, shown=None, detail=None),
        ],
        "builds": [
            {
                "valid_in": "after",
                "when": "Oil sump is front.",
                "terms": 1,
                "complete": True,
                "build": BUILD,
            }
        ],
        "engines": [
            {
                "family": "whimbrel",
                "serial": "N210440",
                "state": "changed",
                "detail": None,
                "places": [
                    {"position": "pan", "label": "Oil pan", "certain": True},
                    {"job": "reseal", "label": "Reseal", "certain": False},
                ],
            },
            {
                "family": "whimbrel",
                "serial": "N7",
                "state": "changed",
                "detail": None,
                "places": [{"position": "pan"}],
            },
            {
                "family": "whimbrel",
                "serial": "N8",
                "state": "invalid",
                "detail": "No build agrees with what is on file any more.",
                "places": [],
            },
        ],
        **more,
    }


def book_of(shape: dict[str, Any]) -> Workbook:
    return load_workbook(io.BytesIO(render_changes(ChangesPaper("Whimbrel", shape))))


def table(sheet: Worksheet, head: int = HEAD) -> list[dict[str, Any]]:
    rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=head)]
    return [dict(zip(map(str, rows[0]), row, strict=True)) for row in rows[1:]]


def test_every_place_stands_in_a_row_with_builds_and_an_example() -> None:
    rows = table(book_of(reply())["Lists and work"])
    assert [row["Named are"] for row in rows] == [
        "all of them",
        "and others",
        "not settled",
    ]
    assert rows[0]["In which builds"] == "Oil sump is rear."
    assert rows[0]["In one of them"] == (
        "The usual build, except serial number 210440. Before: W40.1. After: W40.2."
    )
    assert rows[1]["What differs"] == "what may be taken instead"
    assert [row["Kind"] for row in rows] == ["position"] * 3


def test_an_engine_on_file_says_whether_its_lists_change_or_may() -> None:
    rows = {row["Serial"]: row for row in table(book_of(reply())["Engines on file"])}
    assert rows["N210440"]["What it means"] == "Its lists or work change."
    assert rows["N210440"]["Where"] == "Oil pan, Reseal"
    assert rows["N7"]["What it means"].startswith("Its lists or work may change")
    assert rows["N7"]["Where"] == "pan"
    assert rows["N8"]["State"] == "not valid"
    assert rows["N8"]["What it means"] == (
        "No build agrees with what is on file any more."
    )


def test_builds_of_one_revision_come_with_one_as_it_is_typed() -> None:
    (row,) = table(book_of(reply())["Builds"])
    assert row["Valid in"] == "the later only"
    assert row["One of them"] == "sump=rear extras=heater,block serial=210440"


def test_the_document_is_told_record_by_record() -> None:
    rows = table(book_of(reply())["Document"])
    assert [(r["List"], r["Change"], r["Record"], r["Fields"]) for r in rows] == [
        ("parts", "added", "=1+1", None),
        ("parts", "removed", "W40.1", None),
        ("steps", "edited", "pan_off", "minutes_off, tools"),
    ]


def test_the_front_counts_and_names_both_digests() -> None:
    front = book_of(reply())["Changes"]
    assert front["A2"].value == "Whimbrel, from revision 2 to revision 3"
    counts = {row["What"]: row["How many"] for row in table(front, 7)}
    assert counts["Positions"] == 2, "however many things differ at one"
    assert counts["Engines no longer valid"] == 1
    assert counts["Engines whose lists change"] == 2
    assert counts["Records of the document"] == 3
    assert front["A4"].value.endswith("a" * 64)
    assert front["A5"].value.endswith("b" * 64)


@pytest.mark.parametrize(
    ("more", "verdict"),
    [
        ({}, "Lists or work of some builds differ"),
        ({"comparable": False}, "No build is valid in both revisions"),
        ({"places": []}, "builds are valid in one revision only"),
        ({"places": [], "builds": []}, "no list of any build differs"),
        ({"places": [], "builds": [], "document": {}}, "Nothing changed."),
    ],
)
def test_the_verdict_in_one_sentence(more: dict[str, Any], verdict: str) -> None:
    assert verdict in book_of(reply(**more))["Changes"]["A3"].value


def test_text_never_becomes_a_formula_and_the_same_changes_are_the_same_bytes() -> None:
    paper = ChangesPaper("=Whimbrel", reply())
    raw = render_changes(paper)
    assert render_changes(paper) == raw
    cells = [
        cell
        for sheet in load_workbook(io.BytesIO(raw))
        for row in sheet.iter_rows()
        for cell in row
    ]
    assert not [cell for cell in cells if cell.data_type == "f"]
    assert {"=1+1", "=cmd|x"} <= {cell.value for cell in cells}


def test_a_long_list_says_what_it_leaves_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheets, "ROWS_MOST", 2)
    sheet = book_of(reply())["Lists and work"]
    assert sheet["A2"].value == "The first 2; 1 more stand in the JSON reply."
    assert len(table(sheet)) == 2


def test_every_sheet_is_set_up_for_paper() -> None:
    book = book_of(reply())
    assert book.sheetnames == SHEETS
    for sheet in book:
        assert sheet.page_setup.fitToWidth == 1
        assert sheet.print_area
        assert not sheet.merged_cells.ranges
    for name in SHEETS[1:]:
        assert book[name].freeze_panes == f"A{HEAD + 1}"
        assert book[name].auto_filter.ref
