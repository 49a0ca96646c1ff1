"""The named styles of every workbook: calm, and readable in grey."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal

from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Side

Kind = Literal["text", "wrap", "code", "qty", "mm", "whole", "input", "note", "tick"]
_INK: Final = "1F2A33"
_LINE: Final = "9AA5AD"
_HEAD: Final = "E3E9EC"
_FIELD: Final = "FBF7E6"

STYLE_OF: Final[Mapping[Kind, str]] = {
    "text": "Entry",
    "wrap": "Entry wrapped",
    "code": "Entry number",
    "qty": "Quantity",
    "mm": "Millimetres",
    "whole": "Whole number",
    "input": "To fill in",
    "note": "To write in",
    "tick": "Tick box",
}


def styles() -> tuple[NamedStyle, ...]:
    """Return every style that cells are written in."""
    side = Side(style="thin", color=_LINE)
    box = Border(left=side, right=side, top=side, bottom=side)
    top = Alignment(vertical="top")
    wrap = Alignment(vertical="top", wrap_text=True)
    # Without it a figure touches the text of the next column.
    figure = Alignment(vertical="top", horizontal="right", indent=1)
    centre = Alignment(vertical="top", horizontal="center")
    plain = Font(name="Calibri", size=10, color=_INK)
    strong = Font(name="Calibri", size=10, bold=True, color=_INK)
    linked = Font(name="Calibri", size=10, underline="single", color=_INK)

    def style(
        name: str,
        *,
        font: Font = plain,
        alignment: Alignment = top,
        border: Border | None = None,
        fill: PatternFill | None = None,
        number_format: str | None = None,
    ) -> NamedStyle:
        return NamedStyle(
            name=name,
            font=font,
            alignment=alignment,
            border=border,
            fill=fill,
            number_format=number_format,
        )

    return (
        style("Sheet title", font=Font(name="Calibri", size=16, bold=True, color=_INK)),
        style("Plain line", alignment=wrap),
        style("Plain short"),
        style("Strong line", font=strong),
        style(
            "Caution", font=strong, alignment=wrap, border=Border(left=Side("thick"))
        ),
        style(
            "Heading row",
            font=strong,
            alignment=Alignment(vertical="center", wrap_text=True),
            fill=PatternFill("solid", fgColor=_HEAD),
            border=box,
        ),
        style("Entry", border=box),
        style("Entry wrapped", border=box, alignment=wrap),
        style("Entry set off", border=box, alignment=wrap, font=strong),
        style("Entry number", border=box, font=strong, number_format="@"),
        style(
            "Quantity",
            border=box,
            alignment=figure,
            number_format="0.###",
            font=strong,
        ),
        style("Millimetres", border=box, alignment=figure, number_format="0.00"),
        style("Whole number", border=box, alignment=centre, number_format="0"),
        style(
            "To fill in",
            border=box,
            number_format="0.###",
            fill=PatternFill("solid", fgColor=_FIELD),
        ),
        style(
            "To write in",
            border=box,
            alignment=wrap,
            number_format="@",
            fill=PatternFill("solid", fgColor=_FIELD),
        ),
        style("Entry link", border=box, alignment=centre, font=linked),
        style("Tick box", border=box, alignment=centre),
        style("Sum", border=box, font=strong, number_format="0.###"),
    )
