"""The screw map as a picture: outline, holes, a letter and a shape per screw."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from bomsvc.core.fasteners.sheet import svg
from bomsvc.core.fasteners.sheet.svg import Spot
from bomsvc.core.fasteners.sheet.values import Letter, Mark, Point, ScrewMap, Shape

WIDTH = Fraction(760)
TALLEST = Fraction(520)
EDGE = Fraction(44)
RADIUS = Fraction(13)
LEAST_RADIUS = Fraction(7)
LEGEND_LINE = Fraction(26)

F = Fraction
# Corners of each shape around its centre, in radii; the circle is drawn as one.
_CORNERS: dict[Shape, tuple[tuple[Fraction, Fraction], ...]] = {
    "square": ((F(-1), F(-1)), (F(1), F(-1)), (F(1), F(1)), (F(-1), F(1))),
    "triangle": ((F(0), F("-1.35")), (F("1.3"), F("0.95")), (F("-1.3"), F("0.95"))),
    "diamond": (
        (F(0), F("-1.35")),
        (F("1.35"), F(0)),
        (F(0), F("1.35")),
        (F("-1.35"), F(0)),
    ),
    "hexagon": (
        (F("-0.62"), F("-1.05")),
        (F("0.62"), F("-1.05")),
        (F("1.22"), F(0)),
        (F("0.62"), F("1.05")),
        (F("-0.62"), F("1.05")),
        (F("-1.22"), F(0)),
    ),
    "kite": ((F("-1.3"), F("-0.95")), (F("1.3"), F("-0.95")), (F(0), F("1.35"))),
    "pentagon": (
        (F(0), F("-1.25")),
        (F("1.2"), F("-0.35")),
        (F("0.75"), F("1.1")),
        (F("-0.75"), F("1.1")),
        (F("-1.2"), F("-0.35")),
    ),
    "slab": (
        (F("-1.45"), F("-0.8")),
        (F("1.45"), F("-0.8")),
        (F("1.45"), F("0.8")),
        (F("-1.45"), F("0.8")),
    ),
}
# Where a letter sits well inside its shape, in radii below the centre.
_SINK: dict[Shape, Fraction] = {"triangle": F("0.3"), "kite": F("-0.25")}


class _Frame:
    """From mm on the engine to units on paper; y turns downwards."""

    def __init__(self, drawn: ScrewMap) -> None:
        points = list(_extent(drawn))
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        wide, high = max(xs) - min(xs), max(ys) - min(ys)
        room = WIDTH - 2 * EDGE, TALLEST - 2 * EDGE
        scales = [r / x for r, x in zip(room, (wide, high), strict=True) if x]
        self.scale = min(scales, default=F(1))
        self.left, self.top = min(xs), max(ys)
        self.shift = (room[0] - wide * self.scale) / 2
        self.height = high * self.scale + 2 * EDGE

    def spot(self, point: Point) -> Spot:
        """A point on paper."""
        x = EDGE + self.shift + (point[0] - self.left) * self.scale
        return x, EDGE + (self.top - point[1]) * self.scale


def map_svg(drawn: ScrewMap, *, key: str) -> str:
    """Draw a screw map; `key` keeps its ids apart from other drawings'."""
    frame = _Frame(drawn)
    radius = _radius(drawn.marks, frame)
    legend = list(_legend(drawn, frame.height))
    height = frame.height + LEGEND_LINE * _legend_lines(drawn)
    body = [
        *_outline(drawn, frame),
        *_order(drawn, frame),
        *(piece for mark in drawn.marks for piece in _mark(mark, frame, radius)),
        *legend,
    ]
    told = f"{len(drawn.marks)} holes. " + "; ".join(
        f"{letter.letter}: {said}" for letter, said in drawn.legend
    )
    return svg.document((WIDTH, height), drawn.title, told, body, key=key)


def shape_svg(letter: Letter, at: Spot, radius: Fraction) -> Iterator[str]:
    """A letter in its shape."""
    look: dict[str, svg.Value] = {
        "fill": svg.TINTS[letter.tint],
        "stroke": svg.INK,
        "stroke_width": F("1.5"),
        "class_": f"screw-shape screw-tint-{letter.tint}",
    }
    if letter.shape == "circle":
        yield svg.element("circle", cx=at[0], cy=at[1], r=radius * F("1.1"), **look)
    else:
        corners = _CORNERS[letter.shape]
        points = [(at[0] + x * radius, at[1] + y * radius) for x, y in corners]
        yield svg.polygon(points, stroke_linejoin="round", **look)
    sink = _SINK.get(letter.shape, F(0)) * radius
    yield svg.text(
        (at[0], at[1] + radius * F("0.38") + sink),
        letter.letter,
        text_anchor="middle",
        font_weight="700",
        font_size=radius * F("1.1"),
        fill=svg.TINT_INKS[letter.tint],
        class_="screw-letter",
    )


def _extent(drawn: ScrewMap) -> Iterator[Point]:
    yield from drawn.outline
    yield from (mark.at for mark in drawn.marks)
    for bore in drawn.bores:
        (x, y), r = bore.at, bore.d_mm / 2
        yield x - r, y - r
        yield x + r, y + r


def _radius(marks: Sequence[Mark], frame: _Frame) -> Fraction:
    """Marks shrink before they touch; they never get too small to read."""
    spots = [frame.spot(mark.at) for mark in marks]
    gaps = [
        max(abs(a[0] - b[0]), abs(a[1] - b[1]))
        for index, a in enumerate(spots)
        for b in spots[index + 1 :]
    ]
    nearest = min(gaps, default=RADIUS * 4)
    return max(LEAST_RADIUS, min(RADIUS, nearest * F("0.36")))


def _outline(drawn: ScrewMap, frame: _Frame) -> Iterator[str]:
    if drawn.outline:
        yield svg.polygon(
            map(frame.spot, drawn.outline),
            fill=svg.METAL,
            stroke=svg.FAINT,
            stroke_width=F("1.5"),
            stroke_linejoin="round",
            class_="joint-outline",
        )
    for bore in drawn.bores:
        x, y = frame.spot(bore.at)
        yield svg.element(
            "circle",
            cx=x,
            cy=y,
            r=bore.d_mm / 2 * frame.scale,
            fill=svg.PAPER,
            stroke=svg.FAINT,
            stroke_width=1,
            class_="joint-bore",
        )


def _order(drawn: ScrewMap, frame: _Frame) -> Iterator[str]:
    placed = {mark.hole: mark.at for mark in drawn.marks}
    path = [frame.spot(placed[hole]) for hole in drawn.order if hole in placed]
    if len(path) > 1:
        yield svg.polyline(
            path,
            stroke=svg.FAINT,
            stroke_width=1,
            stroke_dasharray="2 5",
            class_="tightening-path",
        )


def _mark(mark: Mark, frame: _Frame, radius: Fraction) -> Iterator[str]:
    x, y = frame.spot(mark.at)
    yield from shape_svg(mark.letter, (x, y), radius)
    aside = radius * F("1.6")
    halo: dict[str, svg.Value] = {
        "stroke": svg.PAPER,
        "stroke_width": 3,
        "paint_order": "stroke",
    }
    if mark.turn is not None:
        yield svg.text(
            (x + aside, y - radius * F("0.35")),
            f"{mark.turn}.",
            font_weight="700",
            font_size=F(12),
            class_="tightening-turn",
            **halo,
        )
    yield svg.text(
        (x + aside, y + radius * F("0.8")),
        f"#{mark.hole}",
        font_size=F(10),
        fill=svg.FAINT,
        class_="hole-number",
        **halo,
    )


def _legend_lines(drawn: ScrewMap) -> int:
    return len(drawn.legend) + 1 + bool(drawn.unplaced)


def _legend(drawn: ScrewMap, top: Fraction) -> Iterator[str]:
    for index, (letter, said) in enumerate(drawn.legend):
        y = top + LEGEND_LINE * index
        yield from shape_svg(letter, (EDGE, y), F(9))
        yield svg.text((EDGE + 24, y + 4), said, class_="legend-line", font_size=F(13))
    y = top + LEGEND_LINE * len(drawn.legend)
    turns = "bold: tightening order; " if drawn.order else ""
    said = f"{turns}#: hole number; seen from the head side, to scale"
    yield svg.text((EDGE - 9, y + 2), said, fill=svg.FAINT, class_="legend-key")
    if drawn.unplaced:
        missing = ", ".join(str(hole) for hole in drawn.unplaced)
        yield svg.text(
            (EDGE - 9, y + LEGEND_LINE),
            f"Not on the map, because the catalogue has no place for them: {missing}",
            class_="legend-unplaced",
        )
