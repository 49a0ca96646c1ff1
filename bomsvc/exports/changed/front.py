"""The first sheet: how much changed, and what the counts say."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from bomsvc.exports.changed.paper import kind_of
from bomsvc.exports.changes import ChangesPaper
from bomsvc.exports.workbook import Book, Column, Value, whole_area

COLUMNS = (
    Column("What", 30, "code"),
    Column("What it means", 74, "wrap"),
    Column("How many", 11, "whole"),
)
COVER = (Column("Reach", 30, "code"), Column("What this stands for", 74, "wrap"))
HEAD_ROW = 7
REACH = (
    ("Covered", "Every build that is valid in both revisions; none was sampled."),
    (
        "Conditions",
        "“All of them”: the condition names every build concerned. “And others”: it "
        "names some, and there are more. “Not settled”: the budget ran out.",
    ),
    (
        "Not covered",
        "Quotes and pick lists that were issued are kept as issued; whether they have "
        "to be made anew is for people to say.",
    ),
)


def front_sheet(book: Book, paper: ChangesPaper) -> None:
    """Write the sheet."""
    sheet = book.sheet("Changes")
    book.put(sheet, "A1", "Changes between two revisions", "Sheet title")
    book.put(sheet, "A2", paper.title, "Strong line")
    book.put(sheet, "A3", verdict(paper), "Strong line")
    before, after = paper.digests
    book.put(sheet, "A4", f"Digest before {before}", "Plain short")
    book.put(sheet, "A5", f"Digest after {after}", "Plain short")
    last = book.table(sheet, HEAD_ROW, COLUMNS, _counts(paper))
    last = book.table(sheet, last + 2, COVER, REACH)
    whole_area(sheet, last, len(COLUMNS))


def verdict(paper: ChangesPaper) -> str:
    """Return in one sentence what the changes come to."""
    if not paper.shape["comparable"]:
        return "No build is valid in both revisions: every list may differ."
    if paper.records("places"):
        return "Lists or work of some builds differ: see Lists and work."
    if paper.records("builds"):
        return "No list differs, but builds are valid in one revision only."
    if next(paper.document(), None) is not None:
        return "The document was edited; no list of any build differs by it."
    return "Nothing changed."


def _counts(paper: ChangesPaper) -> Iterator[tuple[Value, ...]]:
    # A place stands once for each thing that differs at it.
    places = {(kind_of(p), p[kind_of(p)]) for p in paper.records("places")}
    kinds = Counter(kind for kind, _ in places)
    states = Counter(engine["state"] for engine in paper.records("engines"))
    yield "Positions", "What sits there differs in some build.", kinds["position"]
    yield "Joints", "Screws, seals or tightening differ in some build.", kinds["joint"]
    yield "Jobs", "The job's list or work differs in some build.", kinds["job"]
    yield (
        "Builds of one revision",
        "Conditions under which a build is valid in one revision only.",
        len(paper.records("builds")),
    )
    yield (
        "Engines no longer valid",
        "Engines on file whose answers the later revision does not allow.",
        states["invalid"],
    )
    yield (
        "Engines whose lists change",
        "Engines on file whose lists or work change, or may change.",
        states["changed"],
    )
    yield (
        "Records of the document",
        "Added, removed or edited, whether or not a list depends on it.",
        sum(1 for _ in paper.document()),
    )
