"""The sheets below the first: places, builds, engines on file, the document."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice

from bomsvc.exports.changed.paper import ROWS_MOST, kind_of, typed, whole
from bomsvc.exports.changes import ChangesPaper, Record
from bomsvc.exports.workbook import Book, Column, Value, filterable

HEAD_ROW = 4
PLACES = (
    Column("Kind", 9, "code"),
    Column("Where", 20, "wrap"),
    Column("Name", 30, "wrap"),
    Column("What differs", 14, "wrap"),
    Column("In which builds", 46, "wrap"),
    Column("Named are", 12, "wrap"),
    Column("In one of them", 50, "wrap"),
    Column("Looked at by", 13, "note"),
    Column("Remark", 22, "note"),
)
BUILDS = (
    Column("Valid in", 22, "code"),
    Column("Which builds", 70, "wrap"),
    Column("Named are", 12, "wrap"),
    Column("One of them", 70, "wrap"),
)
ENGINES = (
    Column("Serial", 16, "code"),
    Column("State", 12, "wrap"),
    Column("What it means", 50, "wrap"),
    Column("Where", 60, "wrap"),
    Column("Done by", 14, "note"),
    Column("Remark", 24, "note"),
)
DOCUMENT = (
    Column("List", 16, "code"),
    Column("Change", 11),
    Column("Record", 44, "wrap"),
    Column("Fields", 44, "wrap"),
)
DIFFERS = {
    "list": "what it takes",
    "alternates": "what may be taken instead",
    "work": "how it is done",
}
"""What differs at a place -> in words."""


def places_sheet(book: Book, paper: ChangesPaper) -> None:
    """Write every position, joint and job that differs in some build."""
    rows = (_place(place) for place in paper.records("places"))
    _sheet(book, "Lists and work", PLACES, rows, "Places whose outcome differs")


def builds_sheet(book: Book, paper: ChangesPaper) -> None:
    """Write which builds are valid in one revision only."""
    rows = (_build(one) for one in paper.records("builds"))
    _sheet(book, "Builds", BUILDS, rows, "Builds valid in one revision only")


def engines_sheet(book: Book, paper: ChangesPaper) -> None:
    """Write the engines on file that are touched."""
    rows = (_engine(engine) for engine in paper.records("engines"))
    _sheet(book, "Engines on file", ENGINES, rows, "Engines on file that are touched")


def document_sheet(book: Book, paper: ChangesPaper) -> None:
    """Write what was added, removed and edited."""
    rows = paper.document()
    _sheet(book, "Document", DOCUMENT, rows, "What changed in the document")


def _sheet(
    book: Book,
    name: str,
    columns: Sequence[Column],
    rows: Iterator[tuple[Value, ...]],
    title: str,
) -> None:
    sheet = book.sheet(name, landscape="yes")
    shown = list(islice(rows, ROWS_MOST))
    last = book.table(sheet, HEAD_ROW, columns, shown)
    book.put(sheet, "A1", title, "Sheet title")
    book.put(sheet, "A2", _told(len(shown), sum(1 for _ in rows)), "Plain short")
    filterable(sheet, HEAD_ROW, last, len(columns))


def _told(shown: int, left_out: int) -> str:
    if left_out:
        return f"The first {shown:,}; {left_out:,} more stand in the JSON reply."
    return "None." if not shown else f"{shown:,} in all."


def _place(place: Record) -> tuple[Value, ...]:
    kind = kind_of(place)
    differs = str(place.get("differs", ""))
    return (
        kind,
        place[kind],
        place["label"],
        DIFFERS.get(differs, differs),
        place["when"],
        whole(place),
        _example(place),
        None,
        None,
    )


def _example(place: Record) -> str:
    """Return a build in words and what is otherwise in it, where the reply has them."""
    texts = (place.get("shown"), place.get("detail"))
    return " ".join(text for text in texts if text)


def _build(one: Record) -> tuple[Value, ...]:
    valid_in = "the later only" if one["valid_in"] == "after" else "the earlier only"
    return valid_in, one["when"], whole(one), typed(one["build"])


def _engine(engine: Record) -> tuple[Value, ...]:
    places = engine["places"]
    names = dict.fromkeys(
        str(place.get("label") or place[kind_of(place)]) for place in places
    )
    return (
        engine["serial"],
        "not valid" if engine["state"] == "invalid" else "changed",
        engine["detail"] or _certainty(places),
        ", ".join(names),
        None,
        None,
    )


def _certainty(places: Sequence[Record]) -> str:
    if any(place.get("certain") for place in places):
        return "Its lists or work change."
    return "Its lists or work may change, by what is not known of it."
