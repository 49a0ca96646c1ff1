"""The pick list workbook, made from the invented demo engine."""

from __future__ import annotations

import io
import subprocess
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Resolved, read_scope, resolve
from bomsvc.exports.picklist import Heading, render_picklist
from bomsvc.service.wording import Labels, holes

PUMP = {"use": "pump"}
SHEETS = ["Pick list", "Screws", "Work", "Why", "Notes"]


def listed(reasoner: Reasoner, answers: Mapping[str, object], job: str) -> Resolved:
    compiled = reasoner.compiled
    known = read_answers(compiled, answers)
    found = resolve(reasoner, known, read_scope(compiled, {"jobs": [job]}))
    assert isinstance(found, Resolved)
    return found


def heading(compiled: Compiled, job: str) -> Heading:
    return Heading(
        family="Whimbrel, Tarrow Engine Works",
        revision=1,
        digest=compiled.digest,
        serial="N210440",
        jobs=(Labels(compiled).job(job),),
    )


def written(reasoner: Reasoner, answers: Mapping[str, object], job: str) -> bytes:
    compiled = reasoner.compiled
    found = listed(reasoner, answers, job)
    return render_picklist(found, Labels(compiled), heading(compiled, job))


def opened(raw: bytes, *, values: bool = True) -> Workbook:
    return load_workbook(io.BytesIO(raw), data_only=values)


def table(sheet: Worksheet, head: int) -> list[dict[str, object]]:
    rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=head)]
    names = [str(name) for name in rows[0]]
    below = rows[1:]
    end = next((i for i, row in enumerate(below) if row[1] is None), len(below))
    return [dict(zip(names, row, strict=True)) for row in below[:end]]


def test_every_certain_line_stands_on_the_first_sheet_with_number_and_quantity(
    whimbrel_reasoner: Reasoner,
) -> None:
    found = listed(whimbrel_reasoner, PUMP, "reseal_sump")
    sheet = opened(written(whimbrel_reasoner, PUMP, "reseal_sump"))["Pick list"]
    rows = table(sheet, 8)
    taken = {(row["Part number"], row["Take"]) for row in rows}
    certain = [line for line in found.lines if line.state == "certain"]
    assert certain
    for line in certain:
        assert (line.part, float(line.take)) in {(p, float(str(t))) for p, t in taken}


def test_an_open_place_is_marked_open_and_names_what_decides_it(
    whimbrel_reasoner: Reasoner,
) -> None:
    sheet = opened(written(whimbrel_reasoner, PUMP, "reseal_sump"))["Pick list"]
    remarks = [str(row["Remark"]) for row in table(sheet, 8)]
    assert any(r.startswith("OPEN: one of these; depends on") for r in remarks)


def test_screws_count_as_many_as_their_holes_and_map_every_hole(
    whimbrel_reasoner: Reasoner,
) -> None:
    raw = written(whimbrel_reasoner, {**PUMP, "pan": "cast"}, "reseal_sump")
    sheet = opened(raw)["Screws"]
    rows = table(sheet, 3)
    assert rows
    for row in rows:
        assert row["How many"] == len(str(row["Holes"]).split(","))
    charts = getattr(opened(raw, values=False)["Screws"], "_charts")  # noqa: B009
    assert len(charts) == 1
    assert {s.marker.symbol for s in charts[0].series} >= {"circle"}


def test_minutes_of_the_work_add_up_in_a_live_formula(
    whimbrel_reasoner: Reasoner,
) -> None:
    raw = written(whimbrel_reasoner, {**PUMP, "pan": "cast"}, "reseal_sump")
    minutes = listed(whimbrel_reasoner, {**PUMP, "pan": "cast"}, "reseal_sump").work
    assert minutes is not None
    shown = [c.value for c in opened(raw)["Work"]["D"]]
    live = [str(c.value) for c in opened(raw, values=False)["Work"]["D"]]
    total = next(i for i, text in enumerate(live) if text.startswith("=SUM("))
    assert shown[total] == float(minutes.minutes[0])


def test_notes_carry_the_cautions_the_digest_and_how_to_tell(
    whimbrel_reasoner: Reasoner,
) -> None:
    raw = written(whimbrel_reasoner, PUMP, "reseal_sump")
    text = "\n".join(str(cell.value) for cell in opened(raw)["Notes"]["A"])
    assert whimbrel_reasoner.compiled.digest in text
    assert "maker's current manual prevails" in text
    assert "a magnet holds" in text


def test_every_sheet_is_set_up_for_paper(whimbrel_reasoner: Reasoner) -> None:
    book = opened(written(whimbrel_reasoner, PUMP, "reseal_sump"))
    assert book.sheetnames == SHEETS
    for sheet in book:
        assert sheet.page_setup.fitToWidth == 1
        assert sheet.print_area
        assert sheet.oddFooter is not None
        assert "&P" in str(sheet.oddFooter.right.text)
        assert not sheet.merged_cells.ranges


def test_the_same_list_gives_the_same_bytes(whimbrel_reasoner: Reasoner) -> None:
    first = written(whimbrel_reasoner, PUMP, "reseal_sump")
    assert written(whimbrel_reasoner, PUMP, "reseal_sump") == first


def test_an_office_program_opens_it_and_prints_the_gasket(
    whimbrel_reasoner: Reasoner, tmp_path: Path, program: Callable[[str, str], str]
) -> None:
    office = program("soffice", "libreoffice-calc")
    reader = program("pdftotext", "poppler-utils")
    book = tmp_path / "list.xlsx"
    book.write_bytes(written(whimbrel_reasoner, PUMP, "reseal_sump"))
    profile = f"-env:UserInstallation=file://{tmp_path}/profile"
    subprocess.run(
        [
            office,
            profile,
            "--headless",
            "--convert-to",
            "pdf",
            "--outdir",
            str(tmp_path),
            str(book),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    found = subprocess.run(
        [reader, "-layout", str(tmp_path / "list.pdf"), "-"],
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    assert "Sump gasket" in found
    assert "Page 1 of" in found


FUEL = {"use": "boat", "output": "kw180", "cooling": "keel", "serial": 207000}


def browsed(
    reasoner: Reasoner, answers: Mapping[str, object], **scope: object
) -> Workbook:
    compiled = reasoner.compiled
    known = read_answers(compiled, answers)
    found = resolve(reasoner, known, read_scope(compiled, scope))
    assert isinstance(found, Resolved)
    head = Heading(family="Whimbrel", revision=1, digest=compiled.digest)
    return opened(render_picklist(found, Labels(compiled), head))


def test_a_set_that_three_lines_share_is_ordered_once(
    whimbrel_reasoner: Reasoner,
) -> None:
    book = browsed(whimbrel_reasoner, FUEL, sections=["fuel"])
    pipes = [r for r in table(book["Pick list"], 8) if r["Order as"] == "W32.0578"]
    assert len(pipes) == len(("W32.0571", "W32.0572", "W32.0573"))
    orders = [r for r in table(book["Order"], 3) if r["Order number"] == "W32.0578"]
    assert [row["How many"] for row in orders] == [1]
    for pipe in pipes:
        assert str(pipe["Remark"]).startswith("Sold only as W32.0578, 1 in all.")
        assert str(pipe["Part number"]) in str(orders[0]["Holds these lines"])


def test_what_comes_inside_a_part_is_remarked_beside_it(
    whimbrel_reasoner: Reasoner,
) -> None:
    book = browsed(whimbrel_reasoner, FUEL, sections=["fuel"])
    (tank,) = [r for r in table(book["Pick list"], 8) if r["Part number"] == "W32.0582"]
    assert "With it: Pipe leak switch W62.1249." in str(tank["Remark"])


def test_what_comes_inside_an_open_part_is_remarked_beside_it(
    whimbrel_reasoner: Reasoner,
) -> None:
    sheet = browsed(whimbrel_reasoner, {}, sections=["flywheel_end"])["Pick list"]
    rows = [r for r in table(sheet, 8) if "flywheel" in str(r["Name"]).casefold()]
    boxed = [r for r in rows if "tarter ring gear" in str(r["Remark"])]
    assert boxed
    for row in boxed:
        assert str(row["Remark"]).startswith("OPEN: ")


def test_a_sound_screw_of_a_joint_asked_for_goes_in_again(
    whimbrel_reasoner: Reasoner,
) -> None:
    sheet = browsed(whimbrel_reasoner, {**PUMP, "pan": "cast"}, joints=["pan_rail"])
    rows = {str(r["Part number"]): r for r in table(sheet["Pick list"], 8)}
    screws = [row for row in rows.values() if "Flange screw" in str(row["Name"])]
    assert screws
    for row in screws:
        assert "Used again if sound." in str(row["Remark"])
    assert "again" not in str(rows["W90.0010"]["Remark"])


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ((3,), "hole 3"),
        ((1, 2), "holes 1 and 2"),
        ((5, 1, 2, 3), "holes 1 to 3 and 5"),
        ((1, 2, 3, 4), "holes 1 to 4"),
    ],
)
def test_hole_numbers_are_said_as_people_say_them(
    numbers: tuple[int, ...], words: str
) -> None:
    assert holes(numbers) == words
