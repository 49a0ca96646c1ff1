"""Tables and paragraphs for the terminal, with rich.

Text from catalogues is never read as markup, and control characters in it are
dropped: a part's name cannot paint the screen.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

WIDTH_WITHOUT_TERMINAL = 110


def console() -> Console:
    """Return the terminal, or a page of a fixed width where output goes elsewhere."""
    made = Console(highlight=False, markup=False)
    if not made.is_terminal:
        made = Console(highlight=False, markup=False, width=WIDTH_WITHOUT_TERMINAL)
    return made


def cell(text: object, style: str = "") -> Text:
    """Return plain text for a table's cell."""
    return Text("" if text is None else str(text), style=style)


def heading(page: Console, text: str) -> None:
    """Print a heading with a blank line before it."""
    page.print()
    page.print(cell(text, "bold"))


def table(
    page: Console, columns: Sequence[str], rows: Iterable[Sequence[object]]
) -> None:
    """Print a table; columns that start with # are flushed right."""
    made = Table(box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1))
    for column in columns:
        right = column.startswith("#")
        made.add_column(
            column.lstrip("#"),
            justify="right" if right else "left",
            no_wrap=right,
            overflow="fold",
        )
    for row in rows:
        made.add_row(*(cell(value) for value in row))
    page.print(made)


def bullets(page: Console, texts: Iterable[str], *, style: str = "") -> None:
    """Print one line per text, wrapped under itself."""
    for text in texts:
        grid = Table.grid(padding=(0, 1))
        grid.add_column(no_wrap=True)
        grid.add_column()
        grid.add_row(cell("-", style), cell(text, style))
        page.print(grid)


def mm(value: Fraction | None) -> str:
    """Return a length in mm as people write it: 34.8, rounded to 0.001."""
    if value is None:
        return ""
    return f"{float(round(value, 3)):g}"
