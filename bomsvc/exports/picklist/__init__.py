"""The pick list as a workbook: Pick list, Screws, Work, Why, Notes.

Where something is sold only under another number, a sheet Order follows the first.
"""

from __future__ import annotations

from bomsvc.core.resolve.lines import Resolved
from bomsvc.exports.picklist.front import front_sheet
from bomsvc.exports.picklist.heading import Heading
from bomsvc.exports.picklist.notes import notes_sheet
from bomsvc.exports.picklist.orders import order_sheet
from bomsvc.exports.picklist.screws import screws_sheet
from bomsvc.exports.picklist.why import why_sheet
from bomsvc.exports.picklist.work import work_sheet
from bomsvc.exports.workbook import Book
from bomsvc.service.wording import Labels

__all__ = ["Heading", "render_picklist"]


def render_picklist(resolved: Resolved, labels: Labels, heading: Heading) -> bytes:
    """Return the pick list workbook of a resolved list.

    The same list, labels and heading give the same bytes.

    Args:
        resolved: The list.
        labels: The labels of the revision it was resolved against.
        heading: What stands above it: engine, jobs, what is known.
    """
    book = Book(title=heading.title, made=heading.made)
    front_sheet(book, resolved, labels, heading)
    order_sheet(book, resolved, labels)
    screws_sheet(book, resolved, labels)
    work_sheet(book, resolved, labels)
    why_sheet(book, resolved, labels)
    notes_sheet(book, resolved, labels, heading)
    return book.save()
