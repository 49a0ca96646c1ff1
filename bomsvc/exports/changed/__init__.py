"""The changes between two revisions as a workbook.

Changes, Lists and work, Builds, Engines on file, Document.
"""

from __future__ import annotations

from bomsvc.exports.changed.front import front_sheet
from bomsvc.exports.changed.sheets import (
    builds_sheet,
    document_sheet,
    engines_sheet,
    places_sheet,
)
from bomsvc.exports.changes import ChangesPaper
from bomsvc.exports.workbook import Book

__all__ = ["ChangesPaper", "render_changes"]


def render_changes(paper: ChangesPaper) -> bytes:
    """Return the workbook of the changes; the same changes give the same bytes."""
    book = Book(title=f"Changes {paper.title}")
    front_sheet(book, paper)
    places_sheet(book, paper)
    builds_sheet(book, paper)
    engines_sheet(book, paper)
    document_sheet(book, paper)
    return book.save()
