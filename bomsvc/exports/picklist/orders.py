"""The order sheet: each number to order once, where a line is not its own number."""

from __future__ import annotations

from bomsvc.core.resolve.lines import Resolved
from bomsvc.exports.workbook import Book, Column, filterable
from bomsvc.service.wording import Labels

COLUMNS = (
    Column("Order number", 16, "code"),
    Column("Name", 40, "wrap"),
    Column("How many", 10, "qty"),
    Column("Holds these lines", 60, "wrap"),
)
HEAD_ROW = 3


def order_sheet(book: Book, resolved: Resolved, labels: Labels) -> None:
    """Write the certain lines as orders; no sheet where every line is its own."""
    if not any(set(order.contains) != {order.part} for order in resolved.orders):
        return
    sheet = book.sheet("Order", landscape="yes")
    book.put(sheet, "A1", "What to order, each number once", "Sheet title")
    rows = [
        (
            order.part,
            labels.part(order.part),
            order.qty,
            ", ".join(f"{number} {labels.part(number)}" for number in order.contains),
        )
        for order in resolved.orders
    ]
    last = book.table(sheet, HEAD_ROW, COLUMNS, rows)
    filterable(sheet, HEAD_ROW, last, len(COLUMNS))
