"""The workbook kit: tables people can print, filter and type into.

openpyxl writes the workbook; `sealed` then does what openpyxl cannot: it stores
each formula's value beside it, so that previews and readers that do not
calculate show it, and it fixes the archive's times, so that the same document
gives the same bytes.

Text never becomes a formula: every string is stored as a string, and characters
that a workbook cannot hold are replaced by U+FFFD.
"""

from __future__ import annotations

import io
import re
import textwrap
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from decimal import Decimal
from typing import Final, Literal
from xml.sax.saxutils import escape

from openpyxl import Workbook
from openpyxl.cell.cell import Cell
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.header_footer import HeaderFooterItem
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from bomsvc.exports.styles import STYLE_OF, Kind, styles

Value = str | int | Decimal | None

EPOCH: Final = datetime(2000, 1, 1, tzinfo=UTC)
"""Stands for "no time given" in document properties and the archive."""

TITLE_HEIGHT: Final = 24
"""Points: a title of 16 points and some air."""
_WIDE: Final = 30
"""Characters from which a column holds prose."""
_UNFIT: Final = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]"  # ECMA-376 ST_Xstring
)


@dataclass(frozen=True, slots=True)
class Formula:
    """A live formula and the value it has now."""

    text: str
    value: Decimal | int | str


@dataclass(frozen=True, slots=True)
class Column:
    """A table's column: heading, width in characters, and how it is written."""

    heading: str
    width: float
    kind: Kind = "text"


@dataclass(slots=True)
class Book:
    """A workbook being written, with the values its formulas have."""

    title: str
    made: datetime = EPOCH
    workbook: Workbook = field(default_factory=Workbook)
    values: dict[str, dict[str, Decimal | int | str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        first = self.workbook.active
        if first is not None:
            self.workbook.remove(first)
        for style in styles():
            self.workbook.add_named_style(style)
        properties = self.workbook.properties
        properties.title = clean(self.title)
        properties.creator = "bomsvc"
        properties.created = self.made.replace(tzinfo=None)

    def sheet(self, name: str, *, landscape: Literal["yes", "no"] = "no") -> Worksheet:
        """Add a sheet set up for paper: fitted to width, numbered, A4."""
        sheet: Worksheet = self.workbook.create_sheet(name)
        sheet.sheet_view.showGridLines = False
        setup = sheet.page_setup
        setup.paperSize = 9  # A4, ECMA-376 part 1, 18.3.1.63
        setup.orientation = "landscape" if landscape == "yes" else "portrait"
        setup.fitToWidth, setup.fitToHeight = 1, 0
        sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
        margins = sheet.page_margins
        margins.left = margins.right = 0.5
        margins.top, margins.bottom = 0.6, 0.7
        footer = HeaderFooterItem()
        footer.left.text = _footer(self.title)
        footer.center.text = _footer(name)
        footer.right.text = "Page &P of &N"
        sheet.oddFooter = footer
        return sheet

    def put(
        self, sheet: Worksheet, at: str, value: Value | Formula, style: str
    ) -> None:
        """Write one cell; text stays text whatever it starts with."""
        cell = sheet[at]
        assert isinstance(cell, Cell)
        cell.style = style
        if isinstance(value, Formula):
            cell.value = f"={value.text}"
            self.values.setdefault(sheet.title, {})[at] = value.value
        elif isinstance(value, str):
            if style == "Sheet title":
                sheet.row_dimensions[cell.row].height = TITLE_HEIGHT
            cell.value = clean(value)
            cell.data_type = "s"
        elif value is not None:
            cell.value = value

    def table(
        self,
        sheet: Worksheet,
        row: int,
        columns: Sequence[Column],
        rows: Iterable[Sequence[Value | Formula]],
    ) -> int:
        """Write headings at `row` and the rows below; return the last row used."""
        for index, column in enumerate(columns, start=1):
            letter = get_column_letter(index)
            self.put(sheet, f"{letter}{row}", column.heading, "Heading row")
            sheet.column_dimensions[letter].width = column.width
        names = [column.heading for column in columns]
        sheet.row_dimensions[row].height = 1.5 + _height(columns, names)
        last = row
        for last, values in enumerate(rows, start=row + 1):
            for index, (column, value) in enumerate(
                zip(columns, values, strict=True), start=1
            ):
                at = f"{get_column_letter(index)}{last}"
                self.put(sheet, at, value, STYLE_OF[column.kind])
            sheet.row_dimensions[last].height = _height(columns, values)
        return last

    def link(self, sheet: Worksheet, at: str, *, to: str, cell: str) -> None:
        """Let a click on a written cell go to a cell of another sheet."""
        sheet[at].hyperlink = Hyperlink(ref=at, location=f"'{to}'!{cell}")
        sheet[at].style = "Entry link"

    def paragraphs(
        self, sheet: Worksheet, row: int, texts: Iterable[tuple[str, str]]
    ) -> int:
        """Write (text, style) pairs down column A; return the next free row.

        Rows are as tall as column A's width makes the text wrap.
        """
        width = sheet.column_dimensions["A"].width
        for text, style in texts:
            self.put(sheet, f"A{row}", text, style)
            sheet.row_dimensions[row].height = 14 * _lines(text, width * 0.85)
            row += 1
        return row

    def save(self) -> bytes:
        """Return the finished workbook's bytes, the same for the same content."""
        raw = io.BytesIO()
        self.workbook.save(raw)
        return sealed(raw.getvalue(), self.values_by_part(), self.made)

    def values_by_part(self) -> Mapping[str, Mapping[str, Decimal | int | str]]:
        """Formula values by the archive member that holds their sheet."""
        names = self.workbook.sheetnames
        return {
            f"xl/worksheets/sheet{names.index(title) + 1}.xml": values
            for title, values in self.values.items()
        }


def filterable(sheet: Worksheet, head: int, last: int, columns: int) -> None:
    """Freeze, filter and repeat the heading row; print just the table's area."""
    right = get_column_letter(columns)
    sheet.freeze_panes = f"A{head + 1}"
    sheet.auto_filter.ref = f"A{head}:{right}{max(last, head + 1)}"
    sheet.print_title_rows = f"{head}:{head}"
    sheet.print_area = f"A1:{right}{max(last, head + 1)}"


def whole_area(sheet: Worksheet, last: int, columns: int) -> None:
    """Print everything from A1 to the last row and column."""
    sheet.print_area = f"A1:{get_column_letter(columns)}{last}"


def typed_number(sheet: Worksheet, cells: str, *, remedy: str) -> None:
    """Let people type a number of at least 0 in `cells`, nothing else."""
    rule = DataValidation(
        type="decimal", operator="greaterThanOrEqual", formula1="0", allow_blank=True
    )
    rule.errorTitle, rule.error, rule.showErrorMessage = "Not a quantity", remedy, True
    rule.add(cells)
    sheet.add_data_validation(rule)


def typed_word(
    sheet: Worksheet, cells: str, words: Sequence[str], *, remedy: str
) -> None:
    """Let people choose one of a few words in `cells`, or leave them empty."""
    listed = ",".join(words)
    rule = DataValidation(type="list", formula1=f'"{listed}"', allow_blank=True)
    rule.errorTitle, rule.error, rule.showErrorMessage = "Not a choice", remedy, True
    rule.add(cells)
    sheet.add_data_validation(rule)


def clean(text: str) -> str:
    """Return the text with characters no workbook can hold replaced by U+FFFD."""
    return _UNFIT.sub("\ufffd", text)


def sealed(
    workbook: bytes,
    values: Mapping[str, Mapping[str, Decimal | int | str]],
    made: datetime,
) -> bytes:
    """Return the archive with formula values stored and every time fixed.

    Args:
        workbook: What openpyxl saved.
        values: Archive member -> cell -> the formula's value.
        made: The time the document says it was made, UTC.
    """
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(workbook)) as source,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target,
    ):
        for name in source.namelist():
            content = source.read(name)
            if name in values:
                content = _with_values(content.decode(), values[name]).encode()
            elif name == "docProps/core.xml":
                content = _with_times(content.decode(), made).encode()
            entry = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o600 << 16
            target.writestr(entry, content)
    return out.getvalue()


_FORMULA_CELL: Final = re.compile(
    r'<c r="(?P<at>[A-Z]+[0-9]+)"(?P<rest>[^>]*)><f>(?P<formula>[^<]*)</f>'
    r"<v\s*(?:/>|></v>)</c>"
)


def _with_values(sheet: str, values: Mapping[str, Decimal | int | str]) -> str:
    def fill(found: re.Match[str]) -> str:
        at, rest, formula = found["at"], found["rest"], found["formula"]
        value = values[at]
        if isinstance(value, str):
            rest, text = f'{rest} t="str"', escape(value)
        else:
            text = f"{value:f}" if isinstance(value, Decimal) else str(value)
        return f'<c r="{at}"{rest}><f>{formula}</f><v>{text}</v></c>'

    return _FORMULA_CELL.sub(fill, sheet)


def _with_times(core: str, made: datetime) -> str:
    stamp = made.strftime("%Y-%m-%dT%H:%M:%SZ")
    return re.sub(r"(<dcterms:(created|modified)[^>]*>)[^<]*", rf"\g<1>{stamp}", core)


def _footer(text: str) -> str:
    """A footer's text; & starts a field code there and is doubled to stand."""
    return clean(text).replace("&", "&&")[:80]


def _height(columns: Sequence[Column], values: Sequence[Value | Formula]) -> float:
    """Return a row's height in points, so that wrapped text is seen whole.

    Spreadsheet programs fit rows only while somebody edits them; a printed list
    has to be right as it opens.
    """
    lines = max(
        _lines(value, column.width)
        for column, value in zip(columns, values, strict=True)
    )
    return 13.5 * lines


def _lines(value: Value | Formula, width: float) -> int:
    if not isinstance(value, str):
        return 1
    # Prose in a wide column takes less room than the digits that widths count;
    # a narrow one may hold little but capitals and digits.
    room = max(1, int(width * (1.1 if width >= _WIDE else 0.95)))
    return max(1, len(textwrap.wrap(value, room)))
