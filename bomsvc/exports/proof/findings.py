"""The findings sheet: one row a finding, to be filtered, assigned and worked down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from bomsvc.exports.proof.content import Content, Finding
from bomsvc.exports.proof.words import kind
from bomsvc.exports.workbook import Book, Column, Value, filterable, typed_word

SHEET = "Findings"
COLUMNS = (
    Column("No.", 6, "whole"),
    Column("Severity", 9, "code"),
    Column("Kind", 16, "wrap"),
    Column("Where", 20, "wrap"),
    Column("What is wrong", 52, "wrap"),
    Column("A build that shows it", 40, "wrap"),
    Column("Build", 7, "tick"),
    Column("In the document", 18, "wrap"),
    Column("Code", 18, "wrap"),
    Column("Who mends it", 14, "note"),
    Column("Mended", 9, "note"),
    Column("Remark", 22, "note"),
)
HEAD_ROW = 4
SEVERITY, BUILD, MENDED = "B", "G", "K"
"""Columns that other sheets and rules refer to."""


def findings_sheet(
    book: Book, content: Content, places: Mapping[int | str, tuple[str, str]]
) -> None:
    """Write the sheet.

    Args:
        book: Where it goes.
        content: The report.
        places: Build -> the sheet and the cell where it begins.
    """
    sheet = book.sheet(SHEET, landscape="yes")
    rows = list(_rows(content))
    last = book.table(sheet, HEAD_ROW, COLUMNS, rows)
    book.put(sheet, "A1", "Findings", "Sheet title")
    book.put(sheet, "A2", _told(content), "Plain short")
    for row, finding in enumerate(content.findings, start=HEAD_ROW + 1):
        number = content.number_of(finding)
        if number is not None and number in places:
            to, cell = places[number]
            book.link(sheet, f"{BUILD}{row}", to=to, cell=cell)
    typed_word(
        sheet,
        f"{MENDED}{HEAD_ROW + 1}:{MENDED}{max(last, HEAD_ROW + 1)}",
        ("yes", "no"),
        remedy="Choose yes or no, or leave it empty.",
    )
    filterable(sheet, HEAD_ROW, last, len(COLUMNS))


def last_row(content: Content) -> int:
    """Return the last row of the table; at least one is kept below its heading."""
    return HEAD_ROW + max(1, len(content.findings))


def _told(content: Content) -> str:
    if not content.findings:
        return "Nothing was found: there is nothing to mend."
    left_out = len(content.all_findings) - len(content.findings)
    if left_out:
        return (
            f"The first {len(content.findings):,} findings, the gravest first; "
            f"{left_out:,} more stand in the JSON report."
        )
    return "The gravest first. The number under Build leads to that build in full."


def _rows(content: Content) -> Iterator[tuple[Value, ...]]:
    for number, finding in enumerate(content.findings, start=1):
        yield (
            number,
            finding["severity"],
            kind(finding["code"])[0],
            finding["at"],
            finding["detail"],
            _shown(finding),
            content.number_of(finding),
            finding["pointer"],
            finding["code"],
            None,
            None,
            None,
        )


def _shown(finding: Finding) -> str:
    if finding["code"] in ("not_proven", "no_valid_build"):
        return ""
    shown: str | None = finding["shown"]
    return "Every build." if shown is None else shown
