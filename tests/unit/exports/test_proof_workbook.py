"""The proof report as a workbook: the editor's list, safe, and the same every time."""

from __future__ import annotations

import dataclasses
import io
import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.catalogue.entities import Catalogue
from bomsvc.core.logic.budget import Budget
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.prove import prove
from bomsvc.core.prove.findings import SEVERITY
from bomsvc.core.terms.json_text import read_json
from bomsvc.exports.proof import content, render_proof
from bomsvc.exports.proof.words import KINDS, SEVERITIES, kind
from bomsvc.service.proofs import ProofReport
from bomsvc.service.replies.proof import report_shape

SHEETS = ["Proof", "Findings", "Builds", "Usual build"]
HEAD = 4


def proof_of(compiled: Compiled, *, conflicts: int = 200_000) -> ProofReport:
    report = prove(compiled, budget=Budget(conflicts=conflicts))
    named: dict[str, object] = {
        "family": "whimbrel",
        "number": 3,
        "digest": report.digest,
    }
    return ProofReport(report_shape(report, named), compiled, 3)


def tampered(catalogue: Catalogue) -> Compiled:
    """A family with gaps, an unused part whose name is a formula, and notes."""
    tree: dict[str, Any] = json.loads(catalogue.canonical)
    conditional = [f for f in tree["fitments"] if f.get("when")]
    for fitment in conditional[5:32:9]:
        tree["fitments"].remove(fitment)
    tree["parts"].append({"number": "=1+1", "name": '=HYPERLINK("x")'})
    tree["options"][0]["choices"][0]["label"] = "=cmd|x"
    return compile_catalogue(read_catalogue(read_json(json.dumps(tree))))


@pytest.fixture(scope="module")
def faulty(whimbrel: Catalogue) -> ProofReport:
    return proof_of(tampered(whimbrel))


@pytest.fixture(scope="module")
def raw(faulty: ProofReport) -> bytes:
    return render_proof(faulty)


def opened(content: bytes, *, values: bool = True) -> Workbook:
    return load_workbook(io.BytesIO(content), data_only=values)


def table(sheet: Worksheet, head: int = HEAD) -> list[dict[str, Any]]:
    rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=head)]
    names = [str(name) for name in rows[0]]
    return [dict(zip(names, row, strict=True)) for row in rows[1:]]


def found(report: ProofReport) -> list[dict[str, Any]]:
    findings: list[dict[str, Any]] = report.shape["findings"]  # type: ignore[assignment]
    return findings


def test_every_finding_stands_in_a_row_with_its_sentence_and_place(
    faulty: ProofReport, raw: bytes
) -> None:
    rows = table(opened(raw)["Findings"])
    assert {(r["Code"], r["Where"], r["What is wrong"]) for r in rows} == {
        (f["code"], f["at"], f["detail"]) for f in found(faulty)
    }
    assert len(rows) == len(found(faulty))
    pointers = {(f["code"], f["at"]): f["pointer"] for f in found(faulty)}
    for row in rows:
        assert row["In the document"] == pointers[row["Code"], row["Where"]]


def test_the_gravest_findings_come_first(raw: bytes) -> None:
    order = [
        list(SEVERITIES).index(r["Severity"]) for r in table(opened(raw)["Findings"])
    ]
    assert order == sorted(order)
    assert order[0] == 0


def test_a_counter_example_is_told_in_words_and_stands_in_full(
    faulty: ProofReport, raw: bytes
) -> None:
    book = opened(raw)
    builds = table(book["Builds"])
    gap = next(r for r in table(book["Findings"]) if r["Code"] == "position_gap")
    assert gap["A build that shows it"].startswith("The usual build, except")
    shown = [row for row in builds if str(row["Build"]) == str(gap["Build"])]
    assert len(shown) == len(faulty.compiled.option_order)
    finding = next(
        f
        for f in found(faulty)
        if (f["code"], f["at"]) == ("position_gap", gap["Where"])
    )
    typed = dict(str(row["As an answer"]).split("=", 1) for row in shown)
    for key, answer in finding["build"].items():
        expected = ",".join(answer) if isinstance(answer, list) else str(answer)
        assert typed[key] == expected
    assert all(value == "-" for key, value in typed.items()
               if key not in finding["build"])  # fmt: skip


def test_a_build_is_set_apart_from_the_usual_one_option_by_option(raw: bytes) -> None:
    rows = table(opened(raw)["Builds"])
    assert any(row["Differs"] == "differs" for row in rows)
    for row in rows:
        same = row["In this build"] == row["In the usual build"]
        assert same == (row["Differs"] != "differs")


def test_the_number_of_a_build_leads_to_it(raw: bytes) -> None:
    book = opened(raw)
    followed = 0
    for row in book["Findings"].iter_rows(min_row=HEAD + 1, min_col=7, max_col=7):
        (cell,) = row
        if cell.value is None:
            continue
        assert cell.hyperlink is not None
        sheet, at = str(cell.hyperlink.location).replace("'", "").split("!")
        wanted = book["Usual build"] if cell.value == "usual" else book["Builds"]
        assert sheet == wanted.title
        if cell.value != "usual":
            assert str(book[sheet][at].value) == str(cell.value)
            before = book[sheet][f"A{book[sheet][at].row - 1}"].value
            assert str(before) != str(cell.value)
        followed += 1
    assert followed > 5


def test_the_front_says_whether_it_can_be_published_and_counts_live(
    faulty: ProofReport, raw: bytes
) -> None:
    front, live = opened(raw)["Proof"], opened(raw, values=False)["Proof"]
    faults = sum(f["severity"] == "fault" for f in found(faulty))
    assert front["A3"].value == f"It cannot be published: {faults} faults."
    assert faulty.digest in front["A4"].value
    row = next(r for r in range(6, 10) if front[f"A{r}"].value == "fault")
    assert (front[f"C{row}"].value, front[f"D{row}"].value) == (faults, faults)
    assert str(live[f"D{row}"].value).startswith("=COUNTIFS(Findings!")
    text = "\n".join(str(c.value) for r in front.iter_rows() for c in r)
    assert "step from the document to the clauses" in text
    assert "none was sampled" in text


@pytest.mark.parametrize(
    ("codes", "verdict"),
    [
        ([], "No fault and no warning: it can be published."),
        (["position_empty"], "No fault and no warning: it can be published."),
        (["part_unused"], "No fault. It can be published with a reason for 1 warning."),
        (
            ["not_proven", "position_gap"],
            "Not proven: 1 check not settled within the budget. "
            "It cannot be published.",
        ),
    ],
)
def test_the_verdict_in_one_sentence(
    faulty: ProofReport, codes: list[str], verdict: str
) -> None:
    findings = [
        {
            "code": code,
            "severity": SEVERITY[code],
            "at": "x",
            "pointer": "/positions/0",
            "detail": "x",
            "build": None,
            "shown": None,
        }
        for code in codes
    ]
    shape = {
        **faulty.shape,
        "findings": findings,
        "proven": "not_proven" not in codes,
    }
    book = opened(render_proof(dataclasses.replace(faulty, shape=shape)))
    assert book["Proof"]["A3"].value == verdict


def test_text_of_the_catalogue_never_becomes_a_formula(raw: bytes) -> None:
    texts = []
    for sheet in opened(raw, values=False):
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert str(cell.value).startswith("=COUNTIFS(Findings!")
                elif isinstance(cell.value, str):
                    texts.append(cell.value)
    assert "=1+1" in texts
    assert "=cmd|x" in texts


def test_the_same_report_gives_the_same_bytes(faulty: ProofReport, raw: bytes) -> None:
    assert render_proof(dataclasses.replace(faulty)) == raw


def test_what_the_editor_types_is_asked_for_and_checked(raw: bytes) -> None:
    sheet = opened(raw)["Findings"]
    names = [cell.value for cell in sheet[HEAD]]
    assert names[-3:] == ["Who mends it", "Mended", "Remark"]
    (rule,) = sheet.data_validations.dataValidation
    assert rule.formula1 == '"yes,no"'
    assert str(rule.sqref) == f"K{HEAD + 1}:K{sheet.max_row}"


def test_every_sheet_is_set_up_for_paper(raw: bytes) -> None:
    book = opened(raw)
    assert book.sheetnames == SHEETS
    assert book.properties.title == (
        "Proof report Tarrow Engine Works Whimbrel, revision 3"
    )
    for sheet in book:
        assert sheet.page_setup.fitToWidth == 1
        assert sheet.print_area
        assert sheet.oddFooter is not None
        assert "&P" in str(sheet.oddFooter.right.text)
        assert not sheet.merged_cells.ranges
    for name in SHEETS[1:]:
        assert book[name].freeze_panes == f"A{HEAD + 1}"
        assert book[name].auto_filter.ref
        assert book[name].print_title_rows == f"${HEAD}:${HEAD}"


def test_a_clean_report_says_that_nothing_is_to_be_mended(
    faulty: ProofReport,
) -> None:
    shape: dict[str, object] = {**faulty.shape, "findings": []}
    book = opened(render_proof(dataclasses.replace(faulty, shape=shape)))
    assert book["Findings"]["A2"].value == (
        "Nothing was found: there is nothing to mend."
    )
    assert book["Builds"].max_row == HEAD


def test_a_report_longer_than_people_work_down_says_what_it_leaves_out(
    faulty: ProofReport, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(content, "FINDINGS_MOST", 3)
    monkeypatch.setattr(content, "BUILD_ROWS_MOST", 30)
    book = opened(render_proof(faulty))
    assert len(table(book["Findings"])) == 3
    left_out = len(found(faulty)) - 3
    assert f"{left_out} more stand in the JSON report" in book["Findings"]["A2"].value
    assert {row["Build"] for row in table(book["Builds"])} <= {1}
    # The front still counts everything.
    front = book["Proof"]
    faults = sum(f["severity"] == "fault" for f in found(faulty))
    assert faults in [front[f"C{row}"].value for row in range(6, 10)]


def test_a_report_without_a_valid_build_can_still_be_printed() -> None:
    tree = {
        "format": 1,
        "family": {"code": "none", "name": "None", "note": "invented"},
        "options": [
            {
                "code": "a",
                "label": "A",
                "choices": [
                    {"code": "left", "label": "Left"},
                    {"code": "right", "label": "Right"},
                ],
            }
        ],
        "rules": [
            {"code": "r1", "then": "a = left", "because": "invented"},
            {"code": "r2", "then": "a = right", "because": "invented"},
        ],
    }
    report = proof_of(compile_catalogue(read_catalogue(read_json(json.dumps(tree)))))
    assert report.shape["usual"] is None
    book = opened(render_proof(report))
    (row,) = table(book["Findings"])
    assert row["Kind"] == "No valid build"
    assert row["A build that shows it"] in (None, "")
    assert book["Usual build"].max_row == HEAD


def test_every_kind_of_finding_has_a_name_and_a_meaning() -> None:
    assert set(KINDS) == set(SEVERITY)
    assert set(SEVERITIES) == set(SEVERITY.values())
    for name, meaning in KINDS.values():
        assert name[0].isupper()
        assert meaning.endswith(".")
    assert kind("new_code") == ("New code", "")


def test_an_office_program_prints_the_list(
    raw: bytes, tmp_path: Path, program: Callable[[str, str], str]
) -> None:
    office = program("soffice", "libreoffice-calc")
    reader = program("pdftotext", "poppler-utils")
    (tmp_path / "proof.xlsx").write_bytes(raw)
    profile = f"-env:UserInstallation=file://{tmp_path}/profile"
    words = [office, profile, "--headless", "--convert-to", "pdf", "--outdir"]
    subprocess.run(
        [*words, str(tmp_path), str(tmp_path / "proof.xlsx")],
        check=True,
        capture_output=True,
        timeout=120,
    )
    text = subprocess.run(
        [reader, "-layout", str(tmp_path / "proof.pdf"), "-"],
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    assert "It cannot be published" in text
    assert "Who mends it" in text
    assert "Page 1 of" in text
