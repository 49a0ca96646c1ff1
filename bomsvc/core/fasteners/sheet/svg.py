"""Small pieces of SVG text: no style attributes, so the strictest policy draws them.

Colours are presentation attributes; every element has a class, so that a page may
colour them its own way. Text is escaped here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from xml.sax.saxutils import escape, quoteattr

from bomsvc.core.fasteners.candidates import figure

INK = "#26323a"
FAINT = "#6b7780"
PAPER = "#fffdf8"
METAL = "#f1ede2"
TINTS = ("#ffffff", "#dcd6c6", "#b9c6c4", "#8fa3a8", "#4e646d")
TINT_INKS = (INK, INK, INK, "#10191e", "#ffffff")
FONT = "system-ui, sans-serif"

Value = Fraction | int | str
Spot = tuple[Fraction, Fraction]


def number(value: Fraction | int) -> str:
    """A coordinate with at most two decimals."""
    return figure(Fraction(value), 2)


def element(name: str, inner: str | None = None, /, **attributes: Value) -> str:
    """One element; a trailing underscore and inner ones become hyphens."""
    parts = [
        f"{key.rstrip('_').replace('_', '-')}={quoteattr(_text(value))}"
        for key, value in attributes.items()
    ]
    opened = " ".join([name, *parts])
    return f"<{opened}/>" if inner is None else f"<{opened}>{inner}</{name}>"


def text(at: Spot, said: str, **attributes: Value) -> str:
    """A line of text."""
    shown: dict[str, Value] = {
        "x": at[0],
        "y": at[1],
        "font_family": FONT,
        "font_size": 12,
        "fill": INK,
    }
    return element("text", escape(said), **{**shown, **attributes})


def line(start: Spot, end: Spot, **attributes: Value) -> str:
    """A straight line."""
    shown: dict[str, Value] = {"stroke": INK, "stroke_width": 1}
    return element(
        "line",
        x1=start[0],
        y1=start[1],
        x2=end[0],
        y2=end[1],
        **{**shown, **attributes},
    )


def polygon(points: Iterable[Spot], **attributes: Value) -> str:
    """A closed polygon."""
    return element("polygon", points=_points(points), **attributes)


def polyline(points: Iterable[Spot], **attributes: Value) -> str:
    """An open line through points."""
    return element("polyline", points=_points(points), fill="none", **attributes)


def rectangle(corner: Spot, size: Spot, **attributes: Value) -> str:
    """An upright rectangle from its upper left corner."""
    return element(
        "rect",
        x=corner[0],
        y=corner[1],
        width=size[0],
        height=size[1],
        **attributes,
    )


def document(
    size: Spot, title: str, description: str, body: Sequence[str], *, key: str
) -> str:
    """A whole drawing with its title and description for those who cannot see it.

    `key` makes the ids unique where several drawings stand on one page.
    """
    names = f"{key}-title {key}-desc"
    head = [
        element("title", escape(title), id=f"{key}-title"),
        element("desc", escape(description), id=f"{key}-desc"),
        rectangle((Fraction(0), Fraction(0)), size, fill=PAPER, class_="sheet-paper"),
    ]
    return element(
        "svg",
        "\n".join(["", *head, *body, ""]),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(size[0])} {number(size[1])}",
        width=size[0],
        height=size[1],
        role="img",
        aria_labelledby=names,
    )


def _points(points: Iterable[Spot]) -> str:
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)


def _text(value: Value) -> str:
    return value if isinstance(value, str) else number(value)
