"""The screws sheet: which length in which hole, how many, margins, and the maps.

A map is a native chart of the joint's holes at their coordinates. Each kind of
screw has a letter and a marker shape of its own, so it reads in grey as well.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from openpyxl.chart import Reference, ScatterChart
from openpyxl.chart.legend import Legend
from openpyxl.chart.marker import Marker
from openpyxl.chart.series import XYSeries
from openpyxl.chart.series_factory import SeriesFactory
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from bomsvc.core.catalogue.entities import HolePlace
from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.resolve.lines import GroupForm, JointForm, Resolved
from bomsvc.exports.workbook import Book, Column, Formula, Value, filterable
from bomsvc.service.wording import Labels

COLUMNS = (
    Column("Letter", 7),
    Column("Length mm", 9, "mm"),
    Column("How many", 8, "whole"),
    Column("Part number", 13, "code"),
    Column("Size", 28, "wrap"),
    Column("Joint", 24, "wrap"),
    Column("Screws", 20, "wrap"),
    Column("Holes", 20, "wrap"),
    Column("Clamped mm", 9, "mm"),
    Column("Least thread engaged mm", 9, "mm"),
    Column("Needed mm", 8, "mm"),
    Column("Room short mm", 8, "mm"),
    Column("Room over mm", 8, "mm"),
    Column("Room shank mm", 8, "mm"),
    Column("Threads", 9),
)
HEAD_ROW = 3
MAP_COLUMNS = (
    Column("Letter", 7),
    Column("Hole", 9, "whole"),
    Column("X mm", 8, "mm"),
    Column("Y mm", 13, "mm"),
)
MAP_ROWS = 26
FEWEST_MAPPED = 6
"""Fewer holes than this, all of one screw, need no map to be told apart."""
MAPS_PER_PAGE = 2
ONE_PAGE = 28
"""As many rows of screws as surely stand on the first page."""
MARKERS: Final[tuple[Literal["circle", "square", "triangle", "diamond", "x"], ...]] = (
    "circle",
    "square",
    "triangle",
    "diamond",
    "x",
)
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # no I or O: they read as 1 and 0
INKS = ("1F2A33", "5B6B76", "2F5D73", "7A5A36", "3F6B4F", "6B4A6B", "444444", "888888")


@dataclass(frozen=True, slots=True)
class _Marked:
    letter: str
    joint: JointForm
    group: GroupForm


def screws_sheet(book: Book, resolved: Resolved, labels: Labels) -> None:
    """Write the table of screws, then a map for each joint with coordinates."""
    sheet = book.sheet("Screws", landscape="yes")
    book.put(sheet, "A1", "Screws: which length in which hole", "Sheet title")
    marked = [*_marked(resolved.joints)]
    last = book.table(sheet, HEAD_ROW, COLUMNS, (_row(item, labels) for item in marked))
    if marked:
        total = sum(len(item.group.holes) for item in marked)
        book.put(sheet, f"A{last + 1}", "In all", "Strong line")
        book.put(sheet, f"C{last + 1}", Formula(f"SUM(C4:C{last})", total), "Sum")
    row = last + 3
    drawn: set[object] = set()
    for joint in resolved.joints:
        placed = _placed([item for item in marked if item.joint is joint], labels)
        # The cylinders of an engine have the same joint six times: one map serves.
        looks = (joint.joint.partition("[")[0], *((m.letter, s) for m, s in placed))
        if not _worth_a_map(placed) or looks in drawn:
            continue
        if len(drawn) % MAPS_PER_PAGE == 0:
            sheet.row_breaks.append(Break(id=row - 1))
        drawn.add(looks)
        row = _map(book, sheet, row, placed)
    filterable(sheet, HEAD_ROW, last, len(COLUMNS))
    if drawn and last - HEAD_ROW <= ONE_PAGE:
        # The heading would stand above the maps' pages like an empty table.
        sheet.print_title_rows = None
    sheet.print_area = f"A1:O{max(row, last + 1)}"


def _marked(joints: tuple[JointForm, ...]) -> Iterator[_Marked]:
    """Give each kind of screw of a joint a letter; like screws share it."""
    for joint in joints:
        letters: dict[str, str] = {}
        for group in joint.groups:
            kind = _size(group)
            letter = letters.setdefault(kind, LETTERS[len(letters) % len(LETTERS)])
            yield _Marked(letter, joint, group)


def _size(group: GroupForm) -> str:
    if group.screw is not None and group.screw.chosen is not None:
        return group.screw.chosen.designation
    if group.wanted:
        return group.wanted
    if group.candidates:
        return "open: " + " or ".join(_candidate_names(group))
    return "none fits"


def _candidate_names(group: GroupForm) -> Iterator[str]:
    for candidate in group.candidates:
        chosen = candidate.screw.chosen if candidate.screw else None
        names = [part.part or part.wanted or "none listed" for part in candidate.parts]
        yield chosen.designation if chosen else ", ".join(names) or "none"


def _row(item: _Marked, labels: Labels) -> tuple[Value, ...]:
    group, sized = item.group, item.group.screw
    chosen = sized.chosen if sized else None
    return (
        item.letter,
        _mm(chosen.length_mm if chosen else None),
        len(group.holes),
        _number(group),
        _size(group),
        labels.joint(item.joint.joint),
        labels.group(item.joint.joint, group.group),
        ", ".join(map(str, group.holes)),
        *(_figures(sized) if sized else (None,) * 6),
        group.threads,
    )


def _number(group: GroupForm) -> str:
    chosen = group.screw.chosen if group.screw else None
    number = group.part or (chosen.part if chosen else None)
    return number or ("see size" if group.candidates else "none listed")


def _figures(sized: SizedGroup) -> tuple[Value, ...]:
    margins = sized.margins
    return (
        _mm(sized.clamp_mm[0]),
        _mm(sized.engagement_mm[0] if sized.engagement_mm else None),
        _mm(sized.need.mm if sized.need else None),
        _mm(margins.short if margins else None),
        _mm(margins.over if margins else None),
        _mm(margins.shank if margins else None),
    )


def _mm(length: Fraction | None) -> Decimal | None:
    """Return mm to three decimals, rounded half up as workshops do."""
    if length is None:
        return None
    thousandths = (length * 2000 + 1) // 2
    return Decimal(int(thousandths)).scaleb(-3)


def _worth_a_map(placed: list[tuple[_Marked, HolePlace]]) -> bool:
    letters = {item.letter for item, _ in placed}
    return len(letters) > 1 or len(placed) >= FEWEST_MAPPED


def _placed(groups: list[_Marked], labels: Labels) -> list[tuple[_Marked, HolePlace]]:
    """Return a joint's holes that have coordinates, letter by letter."""
    placed = [(item, spot) for item in groups for spot in _spots(item, labels)]
    return sorted(placed, key=lambda pair: (pair[0].letter, pair[1].hole))


def _map(
    book: Book, sheet: Worksheet, row: int, placed: list[tuple[_Marked, HolePlace]]
) -> int:
    """Write a joint's holes and chart; return the next free row."""
    book.put(sheet, f"A{row}", f"Map: {placed[0][0].joint.label}", "Strong line")
    rows = [(item.letter, spot.hole, spot.x, spot.y) for item, spot in placed]
    widths = {letter: sheet.column_dimensions[letter].width for letter in "ABCD"}
    last = book.table(sheet, row + 1, MAP_COLUMNS, rows)
    for letter, width in widths.items():
        sheet.column_dimensions[letter].width = width
    groups = [item for item, _ in placed]
    sheet.add_chart(_chart(sheet, row + 1, rows, groups), f"F{row}")
    return max(last + 3, row + MAP_ROWS)


def _spots(item: _Marked, labels: Labels) -> Iterator[HolePlace]:
    joint = labels.compiled.standing.joints[item.joint.joint]
    group = next(g.group for g in joint.groups if g.code == item.group.group)
    yield from (h for h in group.holes if h.x is not None and h.y is not None)


def _chart(
    sheet: Worksheet,
    head: int,
    rows: list[tuple[str, int, Decimal | None, Decimal | None]],
    groups: list[_Marked],
) -> ScatterChart:
    chart = ScatterChart()
    chart.style, chart.scatterStyle = 2, "lineMarker"
    chart.title = None
    chart.height, chart.width = 10, 19
    chart.x_axis.title, chart.y_axis.title = "x mm", "y mm, seen from the head side"
    for axis in (chart.x_axis, chart.y_axis):
        axis.delete = False
        axis.number_format = "0"
    names = {item.letter: f"{item.letter}: {_size(item.group)}" for item in groups}
    for index, (letter, span) in enumerate(_spans(rows, head).items()):
        chart.series.append(_series(sheet, span, index, names[letter]))
    chart.legend = Legend()
    chart.legend.position = "b"
    return chart


def _spans(
    rows: list[tuple[str, int, Decimal | None, Decimal | None]], head: int
) -> Mapping[str, tuple[int, int]]:
    """Return the first and last sheet row of each letter."""
    spans: dict[str, tuple[int, int]] = {}
    for at, (letter, *_) in enumerate(rows, start=head + 1):
        first, _last = spans.get(letter, (at, at))
        spans[letter] = (first, at)
    return spans


def _series(sheet: Worksheet, span: tuple[int, int], index: int, name: str) -> XYSeries:
    first, last = span
    across = Reference(sheet, min_col=3, min_row=first, max_row=last)
    up = Reference(sheet, min_col=4, min_row=first, max_row=last)
    series: XYSeries = SeriesFactory(up, across, title=name)
    ink = INKS[index % len(INKS)]
    series.marker = Marker(symbol=MARKERS[index % len(MARKERS)], size=9)
    series.marker.graphicalProperties = GraphicalProperties(solidFill=ink)
    series.marker.graphicalProperties.line.solidFill = ink
    series.graphicalProperties = GraphicalProperties()
    series.graphicalProperties.line.noFill = True
    return series
