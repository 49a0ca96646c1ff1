"""The builds that show the findings, in full: one row an option."""

from __future__ import annotations

from collections.abc import Iterator

from bomsvc.exports.proof.content import USUAL, Content
from bomsvc.exports.workbook import Book, Column, Value, filterable

COLUMNS = (
    Column("Build", 8, "whole"),
    Column("Option", 36, "wrap"),
    Column("In this build", 36, "wrap"),
    Column("In the usual build", 36, "wrap"),
    Column("Differs", 9, "code"),
    Column("As an answer", 34, "wrap"),
)
USUAL_COLUMNS = (
    Column("Option", 44, "wrap"),
    Column("In the usual build", 44, "wrap"),
    Column("As an answer", 40, "wrap"),
)
HEAD_ROW = 4
DIFFERS = "differs"


def places_of_builds(content: Content) -> dict[int | str, tuple[str, str]]:
    """Return the sheet and the cell where each build begins."""
    each = len(content.options)
    first = HEAD_ROW + 1
    places: dict[int | str, tuple[str, str]] = {USUAL: ("Usual build", f"A{first}")}
    for index, number in enumerate(content.builds_shown):
        places[number] = "Builds", f"A{first + index * each}"
    return places


def builds_sheet(book: Book, content: Content) -> None:
    """Write every build that a finding shows."""
    sheet = book.sheet("Builds", landscape="yes")
    rows = list(_rows(content))
    last = book.table(sheet, HEAD_ROW, COLUMNS, rows)
    for at, row in enumerate(rows, start=HEAD_ROW + 1):
        if DIFFERS in row:
            sheet[f"C{at}"].style = "Entry set off"
    book.put(sheet, "A1", "Builds that show the findings", "Sheet title")
    book.put(sheet, "A2", _told(content), "Plain short")
    filterable(sheet, HEAD_ROW, last, len(COLUMNS))


def usual_sheet(book: Book, content: Content) -> None:
    """Write the usual build, which "the usual build, except ..." starts from."""
    sheet = book.sheet("Usual build")
    book.put(sheet, "A1", "The usual build", "Sheet title")
    told = "Every option's usual choice, as far as the rules allow."
    book.put(sheet, "A2", told, "Plain short")
    last = book.table(sheet, HEAD_ROW, USUAL_COLUMNS, _usual_rows(content))
    filterable(sheet, HEAD_ROW, last, len(USUAL_COLUMNS))


def _told(content: Content) -> str:
    left_out = len(content.builds) - len(content.builds_shown)
    told = "Filter Differs for what sets a build apart from the usual one."
    if left_out:
        return f"{told} {left_out:,} further builds stand in the JSON report."
    return told if content.builds else "No finding needs another than the usual build."


def _rows(content: Content) -> Iterator[tuple[Value, ...]]:
    usual = content.usual or {}
    for number, build in content.builds_shown.items():
        for key, typed in content.typed(build):
            differs = build.get(key) != usual.get(key)
            yield (
                number,
                content.option(key),
                content.choice(key, build),
                content.choice(key, usual),
                DIFFERS if differs else "",
                typed,
            )


def _usual_rows(content: Content) -> Iterator[tuple[Value, ...]]:
    if content.usual is not None:
        for key, typed in content.typed(content.usual):
            yield content.option(key), content.choice(key, content.usual), typed
