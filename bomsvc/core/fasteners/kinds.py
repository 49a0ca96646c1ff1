"""The kinds of standard that the registry holds, each as one frozen value.

A module of `standards` writes its figures as text, exactly as its source prints
them; they are turned into exact fractions when a thread is first asked for, so
that a cold command line does not pay for tables it never opens. For the same reason
small values are named tuples: making a data class costs eight times as much.
Standards are compared by identity: there is one of each.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal, NamedTuple

INCH = Fraction(254, 10)
"""mm per inch, exact by definition (international inch, 1959)."""

Unit = Literal["mm", "inch"]
Head = Literal["hex", "flange", "socket"]


def length(text: str, unit: Unit = "mm") -> Fraction:
    """Read a figure as a source prints it: "14.63", "1-3/4" or "3/8"; gives mm."""
    whole, dash, rest = text.partition("-")
    value = Fraction(whole) + Fraction(rest) if dash else Fraction(text)
    return value * INCH if unit == "inch" else value


def optional(text: str, unit: Unit = "mm") -> Fraction | None:
    """Read a figure that a table leaves out where it has none ("")."""
    return length(text, unit) if text else None


@dataclass(frozen=True, eq=False, slots=True)
class Standard:
    """What every standard says of itself.

    Attributes:
        code: As the trade writes it, "ISO 4762".
        title: What it standardises, in our own words.
        source: Where the figures were read, or "from memory".
    """

    code: str
    title: str
    source: str


class Band(NamedTuple):
    """Length tolerance of a screw up to and including a nominal length, mm."""

    upto_mm: Fraction | None
    plus: Fraction
    minus: Fraction


class HeadSize(NamedTuple):
    """One row of a screw standard, mm.

    `across_mm` is the width across flats, or the key of a socket; `bearing_mm`
    the least outer diameter of the bearing face; `full_to_mm` the longest length
    that is threaded up to the head (None: no such row).
    """

    size: str
    shortest_mm: Fraction
    longest_mm: Fraction
    full_to_mm: Fraction | None
    across_mm: Fraction
    height_mm: Fraction
    head_mm: Fraction | None
    bearing_mm: Fraction


@dataclass(frozen=True, eq=False, slots=True)
class ScrewStandard(Standard):
    """A screw with a head.

    Attributes:
        rows: size, shortest, longest, full_to, across, height, head, bearing.
        lengths: The nominal lengths, as text, ascending.
        thread_length: From nominal diameter and length (mm) the reference thread
            length; None: threaded up to the head at every length.
        bands: From the nominal diameter (mm) the length tolerances.
        classes: Property classes that this form is ordered in.
        twin: The fully threaded standard of the same head, where there is one.
    """

    head: Head
    unit: Unit
    rows: tuple[tuple[str, ...], ...]
    lengths: tuple[str, ...]
    thread_length: Callable[[Fraction, Fraction], Fraction] | None
    bands: Callable[[Fraction], tuple[Band, ...]]
    classes: tuple[str, ...]
    twin: str | None = None

    def sizes(self) -> tuple[str, ...]:
        """The threads this standard is made in, short form, ascending."""
        return tuple(row[0] for row in self.rows)

    def size(self, short: str) -> HeadSize | None:
        """The row of a thread ("M10", "M10x1.25", "3/8-16 UNC"), or None."""
        return _head_size(self, short)

    def series(self, short: str) -> tuple[Fraction, ...]:
        """Nominal lengths made for a thread, mm, ascending; empty if none."""
        return _series(self, short)


@lru_cache(maxsize=512)
def _head_size(standard: ScrewStandard, short: str) -> HeadSize | None:
    for row in standard.rows:
        if row[0] == short:
            unit = standard.unit
            shortest, longest = length(row[1], unit), length(row[2], unit)
            full_to, across = optional(row[3], unit), length(row[4], unit)
            height, head = length(row[5], unit), optional(row[6], unit)
            bearing = length(row[7], unit)
            return HeadSize(
                short, shortest, longest, full_to, across, height, head, bearing
            )
    return None


@lru_cache(maxsize=512)
def _series(standard: ScrewStandard, short: str) -> tuple[Fraction, ...]:
    size = standard.size(short)
    if size is None:
        return ()
    every = (length(text, standard.unit) for text in standard.lengths)
    return tuple(x for x in every if size.shortest_mm <= x <= size.longest_mm)


@dataclass(frozen=True, eq=False, slots=True)
class ThreadStandard(Standard):
    """A thread series.

    `rows`: designation, d, P or threads per inch, series, nominal stress area,
    then four limits: least external major, least external pitch, greatest
    internal minor, greatest internal pitch diameter.
    """

    unit: Unit
    rows: tuple[tuple[str, ...], ...]


class Strength(NamedTuple):
    """Least strengths of a property class at one diameter, MPa."""

    tensile_mpa: Fraction
    yield_mpa: Fraction
    proof_mpa: Fraction


@dataclass(frozen=True, eq=False, slots=True)
class ClassStandard(Standard):
    """Property classes.

    Attributes:
        rows: class, over d, up to d, tensile, yield, proof; as printed.
        metric_peer: The metric class each counts as for engagement.
    """

    unit: Unit
    rows: tuple[tuple[str, ...], ...]
    metric_peer: Mapping[str, str]


@dataclass(frozen=True, eq=False, slots=True)
class ClearanceStandard(Standard):
    """Clearance holes; `rows`: size of the shank, fine, medium, coarse."""

    unit: Unit
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, eq=False, slots=True)
class RunoutStandard(Standard):
    """Run-out of blind holes; `rows`: pitch in mm, run-out in mm."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, eq=False, slots=True)
class NutStandard(Standard):
    """Nuts; `rows`: size, across flats, least height, greatest height, mm."""

    rows: tuple[tuple[str, ...], ...]

    def height(self, short: str) -> tuple[Fraction, Fraction] | None:
        """Least and greatest height for a thread, mm; fine pitches by diameter."""
        shank = short.partition("x")[0]
        for row in self.rows:
            if row[0] == shank:
                return Fraction(row[2]), Fraction(row[3])
        return None


@dataclass(frozen=True, eq=False, slots=True)
class WasherStandard(Standard):
    """Washers; `rows`: size, hole, outside, least, nominal, greatest thickness."""

    rows: tuple[tuple[str, ...], ...]

    def thickness(self, short: str) -> tuple[Fraction, Fraction, Fraction] | None:
        """Nominal, least and greatest thickness for a screw size, mm."""
        shank = short.partition("x")[0]
        for row in self.rows:
            if row[0] == shank:
                return Fraction(row[4]), Fraction(row[3]), Fraction(row[5])
        return None


@dataclass(frozen=True, eq=False, slots=True)
class LengthStandard(Standard):
    """Nominal lengths and reference thread lengths."""

    lengths: tuple[str, ...]


@dataclass(frozen=True, eq=False, slots=True)
class ToleranceStandard(Standard):
    """Length tolerances; `rows`: up to, js15, js17 (plus and minus), mm."""

    rows: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, eq=False, slots=True)
class StudStandard(Standard):
    """Studs; `rows`: standard, set end in diameters, meant for."""

    rows: tuple[tuple[str, str, str], ...]
