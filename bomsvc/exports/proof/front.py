"""The first sheet: may it be published, what was found, what the proof covers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import cast

from bomsvc.exports.proof import findings
from bomsvc.exports.proof.content import Content
from bomsvc.exports.proof.words import SEVERITIES, kind
from bomsvc.exports.workbook import Book, Column, Formula, Value, whole_area

TALLY = (
    Column("Severity", 26, "code"),
    Column("What it means", 74, "wrap"),
    Column("Findings", 11, "whole"),
    Column("Not mended", 11, "whole"),
)
KIND = (
    Column("Kind", 26, "code"),
    Column("What it means", 74, "wrap"),
    Column("Severity", 11),
    Column("Findings", 11, "whole"),
)
LOOKED_AT = (
    Column("Looked at", 26, "code"),
    Column("What it counts", 74, "wrap"),
    Column("How many", 11, "whole"),
)
COVER = (Column("Reach", 26, "code"), Column("What the report stands for", 74, "wrap"))
FIGURES: Mapping[str, tuple[str, str]] = {
    "positions": ("Positions", "Places for parts, every member of a series by itself."),
    "fitments": ("Fitments", "Parts in their positions, with their conditions."),
    "hole_groups": ("Groups of holes", "Holes that share stack, seat and thread."),
    "combinations": (
        "Combinations sized",
        "Distinct combinations of thicknesses, tolerances and holes of a joint.",
    ),
    "questions": (
        "Questions to the logic",
        "Each: is there a valid build with this fault?",
    ),
}
"""Figure -> its name and what it counts."""


def front_sheet(book: Book, content: Content) -> None:
    """Write the sheet."""
    sheet = book.sheet("Proof")
    book.put(sheet, "A1", "Proof report", "Sheet title")
    book.put(sheet, "A2", content.report.name, "Strong line")
    book.put(sheet, "A3", verdict(content), "Strong line")
    book.put(sheet, "A4", f"Digest {content.report.digest}", "Plain short")
    row = 6
    for columns, rows in (
        (TALLY, list(_tally(content))),
        (KIND, list(_kinds(content))),
        (LOOKED_AT, list(_figures(content))),
        (COVER, list(_cover(content))),
    ):
        if rows:
            row = book.table(sheet, row, columns, rows) + 2
    whole_area(sheet, row, len(TALLY))


def verdict(content: Content) -> str:
    """Return in one sentence whether the revision can be published."""
    counts = Counter(f["severity"] for f in content.all_findings)
    if not content.report.shape["proven"]:
        unsettled = sum(f["code"] == "not_proven" for f in content.all_findings)
        return (
            f"Not proven: {_so_many(unsettled, 'check')} not settled within the "
            "budget. It cannot be published."
        )
    if counts["fault"]:
        return f"It cannot be published: {_so_many(counts['fault'], 'fault')}."
    if counts["warning"]:
        told = _so_many(counts["warning"], "warning")
        return f"No fault. It can be published with a reason for {told}."
    return "No fault and no warning: it can be published."


def _so_many(count: int, word: str) -> str:
    return f"{count:,} {word}{'' if count == 1 else 's'}"


def _tally(content: Content) -> Iterator[tuple[Value | Formula, ...]]:
    counts = Counter(f["severity"] for f in content.all_findings)
    shown = Counter(f["severity"] for f in content.findings)
    for severity, meaning in SEVERITIES.items():
        yield (
            severity,
            meaning,
            counts[severity],
            _not_mended(content, severity, shown[severity]),
        )


def _not_mended(content: Content, severity: str, now: int) -> Formula:
    def column(letter: str) -> str:
        first, last = findings.HEAD_ROW + 1, findings.last_row(content)
        return f"{findings.SHEET}!${letter}${first}:${letter}${last}"

    of_it = f'{column(findings.SEVERITY)},"{severity}"'
    return Formula(f'COUNTIFS({of_it},{column(findings.MENDED)},"<>yes")', now)


def _kinds(content: Content) -> Iterator[tuple[Value, ...]]:
    counts = Counter((f["severity"], f["code"]) for f in content.all_findings)
    for (severity, code), count in counts.items():
        name, meaning = kind(code)
        yield name, meaning, severity, count


def _figures(content: Content) -> Iterator[tuple[Value, ...]]:
    figures = cast("Mapping[str, int]", content.report.shape["figures"])
    for name, (title, meaning) in FIGURES.items():
        yield title, meaning, figures[name]


def _cover(content: Content) -> Iterator[tuple[Value, ...]]:
    trace = content.report.shape.get("trace")
    if isinstance(trace, dict):
        told = f"{trace['replayed']:,} clean verdicts were kept as traces and replayed."
        yield "Traced", told
    for title, name in (("Covered", "covered"), ("Not covered", "not_covered")):
        for sentence in cast("list[str]", content.report.shape.get(name, [])):
            yield title, sentence
