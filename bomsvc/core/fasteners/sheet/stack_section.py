"""A stack from the side as a picture, to scale: layers, gasket, thread, tip, bottom.

Threads are drawn as drawings show them: a thick line at the crest of a screw, a
thin one at its root; in a hole the other way round.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from bomsvc.core.fasteners.sheet import svg
from bomsvc.core.fasteners.sheet.screw_map import shape_svg
from bomsvc.core.fasteners.sheet.svg import Spot
from bomsvc.core.fasteners.sheet.values import (
    Fastener,
    Measure,
    Slice,
    StackView,
    TappedHole,
)

F = Fraction
WIDTH = F(500)
TALLEST_MM_ROOM = F(430)
LARGEST_SCALE = F(7)
TOP = F(66)
BOTTOM = F(24)
AXIS = F(232)
LABELS = F(336)
METAL_HALF = F(88)
LEAST_GAP = F(15)
LINE = F(14)
LETTERS = 24
_POINT = F("0.75")
"""Chamfer of the drawn tip, in pitches: for the picture only."""
_CONE = F("0.3")
"""Height of a drill's point over its diameter, 118 degrees."""
_TINTS = {"hard": "#ece7da", "soft": "#5b6f78", "base": "#dde1df", "nut": "#d5cfbf"}
_SECOND = "#e0d9c8"


class _Scale:
    """From mm below the bearing face to units on paper."""

    def __init__(self, view: StackView) -> None:
        bottoms = [s.bottom for s in view.slices]
        head = F(0)
        if view.fastener is not None:
            bottoms.append(view.fastener.tip)
            stud_top = view.fastener.top - view.fastener.pitch
            head = max(view.fastener.head_height, -stud_top)
        depth = max(bottoms, default=F(0))
        self.per_mm = min(LARGEST_SCALE, TALLEST_MM_ROOM / (head + depth))
        if view.fastener is not None:
            widest = max(view.fastener.washer_face, view.fastener.head_width)
            self.per_mm = min(self.per_mm, METAL_HALF * 2 / (widest * F("1.15")))
        self.face = TOP + head * self.per_mm
        self.height = self.face + depth * self.per_mm + BOTTOM

    def y(self, mm: Fraction) -> Fraction:
        """A depth on paper."""
        return self.face + mm * self.per_mm

    def half(self, diameter: Fraction) -> Fraction:
        """Half a diameter on paper."""
        return diameter / 2 * self.per_mm


def stack_svg(view: StackView, *, key: str) -> str:
    """Draw a stack; `key` keeps its ids apart from other drawings'."""
    scale = _Scale(view)
    places = _spread([scale.y((s.top + s.bottom) / 2) for s in view.slices])
    sides = _spread([scale.y((m.top + m.bottom) / 2) for m in view.measures])
    height = max([scale.height, *(y + BOTTOM for y in (*places, *sides))])
    body = [
        *shape_svg(view.letter, (F(24), F(24)), F(10)),
        svg.text((F(46), F(28)), view.title, font_size=F(13), font_weight="700"),
        svg.text((F(46), F(44)), view.caption, fill=svg.FAINT, class_="stack-caption"),
        *_slices(view, scale),
        *_hole(view.hole, view.fastener, scale),
        *_fastener(view.fastener, scale),
        *_labels(view.slices, places, scale),
        *_measures(view.measures, sides, scale),
    ]
    said = [s.note for s in view.slices] + [" ".join(m.lines) for m in view.measures]
    told = "; ".join([view.caption, *said])
    return svg.document((WIDTH, height), view.title, told, body, key=key)


def _slices(view: StackView, scale: _Scale) -> Iterator[str]:
    for index, one in enumerate(view.slices):
        fill = _TINTS[one.kind]
        if one.kind == "hard" and index % 2:
            fill = _SECOND
        half = METAL_HALF
        if one.kind == "nut" and view.fastener is not None:
            half = min(METAL_HALF, scale.half(view.fastener.d * F("1.6")))
        top = scale.y(one.top)
        yield svg.rectangle(
            (AXIS - half, top),
            (half * 2, max(F(1), scale.y(one.bottom) - top)),
            fill=fill,
            stroke=svg.INK,
            stroke_width=1,
            class_=f"stack-layer stack-{one.kind}",
        )
        if one.kind != "nut" and one.kind != "base":
            yield from _clearance(one, view.fastener, scale)


def _clearance(one: Slice, fastener: Fastener | None, scale: _Scale) -> Iterator[str]:
    if fastener is None:
        return
    half = scale.half(fastener.d * F("1.1"))
    top, bottom = scale.y(one.top), scale.y(one.bottom)
    yield svg.rectangle(
        (AXIS - half, top),
        (half * 2, max(F(1), bottom - top)),
        fill=svg.PAPER,
        class_="stack-clearance",
    )
    for side in (-half, half):
        yield svg.line((AXIS + side, top), (AXIS + side, bottom), stroke=svg.FAINT)


def _hole(
    hole: TappedHole | None, fastener: Fastener | None, scale: _Scale
) -> Iterator[str]:
    if hole is None or fastener is None:
        return
    core, crest = scale.half(hole.minor), scale.half(fastener.d)
    top, end = scale.y(hole.top), scale.y(hole.drill_end)
    cone = F(0) if hole.through else core * 2 * _CONE
    mouth = top + hole.entry * scale.per_mm
    mouth_half = crest * F("1.05")
    bottom = [(AXIS, end)] if cone else []
    yield svg.polygon(
        [
            (AXIS - mouth_half, top),
            (AXIS + mouth_half, top),
            (AXIS + core, mouth),
            (AXIS + core, end - cone),
            *bottom,
            (AXIS - core, end - cone),
            (AXIS - core, mouth),
        ],
        fill=svg.PAPER,
        stroke=svg.INK,
        stroke_width=F("1.4"),
        class_="stack-hole",
    )
    last = scale.y(hole.thread_end)
    for side in (-crest, crest):
        yield svg.line(
            (AXIS + side, mouth),
            (AXIS + side, last),
            stroke=svg.FAINT,
            stroke_width=F("0.7"),
            class_="stack-hole-thread",
        )
    yield svg.line(
        (AXIS - crest, last),
        (AXIS + crest, last),
        stroke=svg.INK,
        stroke_width=1,
        stroke_dasharray="6 3",
        class_="stack-last-thread",
    )


def _fastener(fastener: Fastener | None, scale: _Scale) -> Iterator[str]:
    if fastener is None:
        return
    yield from _shaft(fastener, scale)
    if fastener.head == "socket":
        yield from _socket_head(fastener, scale)
    elif fastener.head == "flange":
        yield from _flange_head(fastener, scale)
    else:
        yield from _block(fastener, scale)
    yield svg.line(
        (AXIS, scale.y(min(fastener.top, -fastener.head_height)) - 6),
        (AXIS, scale.y(fastener.tip) + 10),
        stroke=svg.FAINT,
        stroke_width=F("0.7"),
        stroke_dasharray="10 3 2 3",
        class_="stack-axis",
    )


def _shaft(fastener: Fastener, scale: _Scale) -> Iterator[str]:
    half, root = scale.half(fastener.d), scale.half(fastener.root)
    top, tip = scale.y(fastener.top), scale.y(fastener.tip)
    chamfer = fastener.pitch * _POINT * scale.per_mm
    upper = chamfer if fastener.head == "nut" else F(0)
    yield svg.polygon(
        [
            (AXIS - (root if upper else half), top),
            (AXIS + (root if upper else half), top),
            (AXIS + half, top + upper),
            (AXIS + half, tip - chamfer),
            (AXIS + root, tip),
            (AXIS - root, tip),
            (AXIS - half, tip - chamfer),
            (AXIS - half, top + upper),
        ],
        fill="#c9cfd1",
        stroke=svg.INK,
        stroke_width=F("1.6"),
        class_="stack-screw",
    )
    yield from _thread_lines(scale.y(fastener.thread_from), tip - chamfer, half, root)
    if fastener.stud_thread_to is not None:
        lowest = scale.y(fastener.stud_thread_to)
        yield from _thread_lines(lowest, top + upper, half, root)


def _thread_lines(
    top: Fraction, bottom: Fraction, half: Fraction, root: Fraction
) -> Iterator[str]:
    for side in (-root, root):
        yield svg.line(
            (AXIS + side, top),
            (AXIS + side, bottom),
            stroke_width=F("0.8"),
            class_="stack-thread",
        )
    yield svg.line((AXIS - half, top), (AXIS + half, top), class_="stack-thread")


def _block(fastener: Fastener, scale: _Scale) -> Iterator[str]:
    half = scale.half(fastener.head_width)
    top, face = scale.y(-fastener.head_height), scale.y(F(0))
    bevel = (face - top) * F("0.14")
    yield svg.polygon(
        [
            (AXIS - half, top + bevel),
            (AXIS - half * F("0.86"), top),
            (AXIS + half * F("0.86"), top),
            (AXIS + half, top + bevel),
            (AXIS + half, face),
            (AXIS - half, face),
        ],
        fill="#b3bbbe",
        stroke=svg.INK,
        stroke_width=F("1.6"),
        stroke_linejoin="round",
        class_="stack-head",
    )
    for side in (-half, half):
        x = AXIS + side * F("0.49")
        yield svg.line((x, top), (x, face), stroke=svg.INK, stroke_width=F("0.8"))


def _socket_head(fastener: Fastener, scale: _Scale) -> Iterator[str]:
    half = scale.half(fastener.head_width)
    top, face = scale.y(-fastener.head_height), scale.y(F(0))
    yield svg.rectangle(
        (AXIS - half, top),
        (half * 2, face - top),
        rx=2,
        fill="#b3bbbe",
        stroke=svg.INK,
        stroke_width=F("1.6"),
        class_="stack-head",
    )
    key = half * F("0.52")
    deep = top + (face - top) * F("0.55")
    yield svg.polyline(
        [(AXIS - key, top), (AXIS - key, deep), (AXIS + key, deep), (AXIS + key, top)],
        stroke=svg.INK,
        stroke_width=1,
        stroke_dasharray="3 2",
        class_="stack-socket",
    )


def _flange_head(fastener: Fastener, scale: _Scale) -> Iterator[str]:
    half, wide = scale.half(fastener.head_width), scale.half(fastener.washer_face)
    top, face = scale.y(-fastener.head_height), scale.y(F(0))
    rim = face - (face - top) * F("0.14")
    skirt = face - (face - top) * F("0.4")
    yield svg.polygon(
        [
            (AXIS - half, top),
            (AXIS + half, top),
            (AXIS + half, skirt),
            (AXIS + wide, rim),
            (AXIS + wide, face),
            (AXIS - wide, face),
            (AXIS - wide, rim),
            (AXIS - half, skirt),
        ],
        fill="#b3bbbe",
        stroke=svg.INK,
        stroke_width=F("1.6"),
        stroke_linejoin="round",
        class_="stack-head",
    )


def _labels(
    slices: Sequence[Slice], places: Sequence[Fraction], scale: _Scale
) -> Iterator[str]:
    for one, y in zip(slices, places, strict=True):
        middle = scale.y((one.top + one.bottom) / 2)
        yield _leader((AXIS + METAL_HALF, middle), (LABELS - 4, y))
        name = f"stack-note stack-note-{one.kind}"
        yield from _lines(_broken(one.note), (LABELS, y), "start", name)


def _measures(
    measures: Sequence[Measure], sides: Sequence[Fraction], scale: _Scale
) -> Iterator[str]:
    edge = AXIS - METAL_HALF
    for index, (one, y) in enumerate(zip(measures, sides, strict=True)):
        x = edge - 8 - 7 * (index % 2)
        top, bottom = scale.y(one.top), scale.y(one.bottom)
        yield svg.line((x, top), (x, bottom), stroke_width=F("1.4"), class_="measure")
        for end in (top, bottom):
            yield svg.line((x - 3, end), (x + 3, end), class_="measure")
        yield from _lines(one.lines, (AXIS - METAL_HALF - 24, y), "end", "measure-text")


def _lines(lines: Sequence[str], at: Spot, anchor: str, name: str) -> Iterator[str]:
    """Lines of text, centred on a height."""
    start = at[1] + 4 - LINE * (len(lines) - 1) / 2
    for index, said in enumerate(lines):
        yield svg.text(
            (at[0], start + LINE * index),
            said,
            text_anchor=anchor,
            font_size=F(12),
            class_=name,
        )


def _broken(said: str) -> tuple[str, ...]:
    """A note on at most two lines; what is longer still ends in dots."""
    if len(said) <= LETTERS:
        return (said,)
    cut = said.rfind(" ", 0, LETTERS + 1)
    cut = cut if cut > 0 else LETTERS
    first, rest = said[:cut], said[cut:].strip()
    if len(rest) > LETTERS:
        rest = f"{rest[: LETTERS - 1]}\N{HORIZONTAL ELLIPSIS}"
    return first, rest


def _leader(start: Spot, end: Spot) -> str:
    return svg.line(start, end, stroke=svg.FAINT, stroke_width=F("0.7"))


def _spread(wanted: Sequence[Fraction]) -> list[Fraction]:
    """Places at or below the wanted ones, never closer than two lines of text."""
    placed: list[Fraction] = []
    for y in wanted:
        placed.append(max(y, placed[-1] + LEAST_GAP * 2) if placed else y)
    return placed
