"""Threads: read and printed as the trade writes them, with exact figures.

`M10x1.5`, `M10` (coarse), `M10 x 1,5`, `3/8-16 UNC`, `3/8-24` and `1/2" UNF` are
read; one spelling is printed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from typing import Literal, NamedTuple

from bomsvc.core.fasteners.kinds import INCH
from bomsvc.core.fasteners.standards import asme_b1_1, iso_261
from bomsvc.core.terms.problems import BadInput, Problem

Series = Literal["coarse", "fine", "UNC", "UNF"]

# Coefficients of the 60 degree profile. ISO 68-1 and ISO 724: pitch and internal
# minor diameter; ISO 898-1: metric root; ASME B1.1: inch root.
PITCH_COEFFICIENT = Fraction("0.649519")
INTERNAL_MINOR_COEFFICIENT = Fraction("1.082532")
METRIC_ROOT_COEFFICIENT = Fraction("1.226869")
INCH_ROOT_COEFFICIENT = Fraction("1.299038")

POINT_PITCHES = 2
"""Length of the point, in pitches, that carries no full thread: ISO 4753, from
memory (u <= 2P)."""
BOTTOM_PITCHES = 1
"""Clearance below the tip, in pitches of usable thread: a choice."""
HEAD_PITCHES = 3
"""First full thread under the head of a fully threaded screw, in pitches: ISO 4017
a max, read in BOLTS f8c8ad8 data/hex.blt column h."""

_METRIC = re.compile(r"M(\d+(?:\.\d+)?)(?:[X-](\d+(?:\.\d+)?))?(?:-6[GH])?\Z")
_INCH = re.compile(r"((?:\d+-)?\d+/\d+|\d+)(?:-(\d+))?(UNC|UNF)?(?:-[23][AB])?\Z")


class Thread(NamedTuple):
    """A thread with its figures, mm and mm2.

    Attributes:
        designation: "M10x1.5", "3/8-16 UNC".
        short: As screws are designated: "M10", "M10x1.25", "3/8-16 UNC".
        shank: The diameter alone, as tables of holes name it: "M10", "3/8".
        stress_area_mm2: Nominal, as its standard tabulates it.
        major_min_mm: Least major diameter of the screw (6g, 2A).
        pitch_min_mm: Least pitch diameter of the screw.
        minor_max_mm: Greatest minor diameter of the hole (6H, 2B).
        hole_pitch_max_mm: Greatest pitch diameter of the hole.
    """

    designation: str
    short: str
    shank: str
    series: Series
    inch: bool
    d_mm: Fraction
    pitch_mm: Fraction
    stress_area_mm2: Fraction
    major_min_mm: Fraction
    pitch_min_mm: Fraction
    minor_max_mm: Fraction
    hole_pitch_max_mm: Fraction

    def __hash__(self) -> int:
        return hash(self.designation)

    @property
    def pitch_diameter_mm(self) -> Fraction:
        """Basic pitch diameter d2, mm."""
        return self.d_mm - PITCH_COEFFICIENT * self.pitch_mm

    @property
    def root_mm(self) -> Fraction:
        """Root diameter of the screw (d3; inch: dr), mm."""
        coefficient = INCH_ROOT_COEFFICIENT if self.inch else METRIC_ROOT_COEFFICIENT
        return self.d_mm - coefficient * self.pitch_mm

    @property
    def internal_minor_mm(self) -> Fraction:
        """Basic minor diameter D1 of the hole, mm."""
        return self.d_mm - INTERNAL_MINOR_COEFFICIENT * self.pitch_mm

    @property
    def stress_diameter_mm(self) -> Fraction:
        """Mean of pitch and root diameter, on which the stress area stands, mm."""
        return (self.pitch_diameter_mm + self.root_mm) / 2

    @property
    def point_mm(self) -> Fraction:
        """Point u of the screw, which engages no full thread, mm."""
        return POINT_PITCHES * self.pitch_mm

    @property
    def bottom_mm(self) -> Fraction:
        """Clearance kept between tip and last full thread of the hole, mm."""
        return BOTTOM_PITCHES * self.pitch_mm


def all_threads() -> tuple[Thread, ...]:
    """Every known thread, metric first, by diameter, coarse before fine."""
    return _all_threads()


@lru_cache(maxsize=1)
def _all_threads() -> tuple[Thread, ...]:
    return tuple(_thread(row) for row in (*iso_261.ROWS, *asme_b1_1.ROWS))


@lru_cache(maxsize=128)
def _thread(row: tuple[str, ...]) -> Thread:
    name, d, pitch, series, area = row[:5]
    inch = series in ("UNC", "UNF")
    scale = INCH if inch else Fraction(1)
    limits = [Fraction(text) * scale for text in row[5:9]]
    coarse = series == "coarse"
    return Thread(
        designation=name,
        short=f"M{d}" if coarse else name,
        shank=d if inch else f"M{d}",
        series=_series(series),
        inch=inch,
        d_mm=Fraction(d) * scale,
        pitch_mm=INCH / int(pitch) if inch else Fraction(pitch),
        stress_area_mm2=Fraction(area) * scale * scale,
        major_min_mm=limits[0],
        pitch_min_mm=limits[1],
        minor_max_mm=limits[2],
        hole_pitch_max_mm=limits[3],
    )


def _series(text: str) -> Series:
    known: tuple[Series, ...] = ("coarse", "fine", "UNC", "UNF")
    return next(series for series in known if series == text)


@lru_cache(maxsize=1024)
def find_thread(text: str) -> Thread | None:
    """Return the thread that a designation names, or None."""
    tidy = _tidy(text)
    metric = _METRIC.match(tidy)
    if metric:
        return _metric(metric[1], metric[2])
    inch = _INCH.match(tidy)
    return _inch(inch[1], inch[2], inch[3]) if inch else None


def get_thread(text: str, pointer: str = "") -> Thread:
    """Return the thread that a designation names.

    Raises:
        BadInput: No such thread is known; the problem names the nearest one.
    """
    thread = find_thread(text)
    if thread is not None:
        return thread
    near = nearest_thread(text)
    detail = f'"{text}" is no thread this service knows.'
    if near is not None:
        detail = f"{detail} The nearest is {near}."
    raise BadInput([Problem(pointer, detail, code="unknown_thread", remedy=near)])


def nearest_thread(text: str) -> str | None:
    """Return the designation of the known thread nearest to `text`.

    Same kind of thread: nearest diameter, then nearest pitch, then the order of
    `all_threads`. None where the text does not look like a thread at all.
    """
    tidy = _tidy(text)
    metric = _METRIC.match(tidy)
    if metric:
        pitch = Fraction(metric[2]) if metric[2] else None
        return _nearest(iso_261.ROWS, Fraction(metric[1]), pitch)
    inch = _INCH.match(tidy)
    if inch and not re.search(r"/0+\Z", inch[1]):
        pitch = INCH / int(inch[2]) if inch[2] and int(inch[2]) else None
        return _nearest(asme_b1_1.ROWS, _inches(inch[1]) * INCH, pitch)
    return None


def _nearest(
    rows: Iterable[tuple[str, ...]], d_mm: Fraction, pitch_mm: Fraction | None
) -> str:
    def distance(thread: Thread) -> tuple[Fraction, Fraction]:
        off = abs(thread.pitch_mm - pitch_mm) if pitch_mm is not None else Fraction(0)
        return abs(thread.d_mm - d_mm), off

    return min((_thread(row) for row in rows), key=distance).designation


def _tidy(text: str) -> str:
    bare = "".join(text.upper().split()).replace("\N{MULTIPLICATION SIGN}", "X")
    return bare.replace("*", "X").replace(",", ".").replace('"', "")


def _metric(d: str, pitch: str | None) -> Thread | None:
    wanted, step = Fraction(d), Fraction(pitch) if pitch else None
    for row in iso_261.ROWS:
        if Fraction(row[1]) == wanted and (
            row[3] == "coarse" if step is None else Fraction(row[2]) == step
        ):
            return _thread(row)
    return None


def _inch(d: str, per_inch: str | None, series: str | None) -> Thread | None:
    if per_inch is None and series is None:
        return None
    for row in asme_b1_1.ROWS:
        if (
            row[1] == _inch_shank(d)
            and per_inch in (None, row[2])
            and series in (None, row[3])
        ):
            return _thread(row)
    return None


def _inch_shank(d: str) -> str:
    return d.lstrip("0") or "0"


def _inches(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split("-")), Fraction(0))
