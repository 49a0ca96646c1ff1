"""The why sheet: each line's reasons, so that nobody has to trust it blindly."""

from __future__ import annotations

from collections.abc import Iterator

from bomsvc.core.resolve.lines import Resolved
from bomsvc.exports.workbook import Book, Column, Value, filterable
from bomsvc.service.wording import Labels

COLUMNS = (
    Column("Part number", 16, "code"),
    Column("Name", 34, "wrap"),
    Column("Where it goes", 46, "wrap"),
    Column("Why it is on the list", 66, "wrap"),
)
HEAD_ROW = 3


def why_sheet(book: Book, resolved: Resolved, labels: Labels) -> None:
    """Write one row per line and reason."""
    sheet = book.sheet("Why", landscape="yes")
    book.put(sheet, "A1", "Why each line is here", "Sheet title")
    last = book.table(sheet, HEAD_ROW, COLUMNS, _rows(resolved, labels))
    filterable(sheet, HEAD_ROW, last, len(COLUMNS))


def _rows(resolved: Resolved, labels: Labels) -> Iterator[tuple[Value, ...]]:
    for line in resolved.lines:
        where = labels.places(line.places)
        for reason in line.why:
            text = labels.reason(reason)
            yield (
                line.part or "none listed",
                line.name,
                where,
                f"{text[:1].upper()}{text[1:]}.",
            )
