"""ASME B18.2.1: hex cap screws, inch."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from bomsvc.core.fasteners.kinds import INCH, Band, ScrewStandard

SOURCE = (
    "ASME B18.2.1 as reproduced: F, H and LT at astma193gradeb7.com "
    "hex-cap-screws-asme-b18.2.1; LT = 2D + 0.25 in, over 6 in 2D + 0.50 in in the "
    "text of B18.2.1-2010, 4.7; length tolerances from memory; bearing face taken as "
    "0.95 F (least washer face, from memory); lengths in stock: common practice, no "
    "source"
)

# size, shortest, longest, full_to, F, H max, head, bearing (0.95 F)
ROWS = tuple(
    (f"{shank}-{tpi}", shortest, longest, "", across, height, "", bearing)
    for shank, pitches, shortest, longest, across, height, bearing in (
        ("1/4", ("20 UNC", "28 UNF"), "1/2", "4", "0.4375", "0.163", "0.4156"),
        ("5/16", ("18 UNC", "24 UNF"), "1/2", "4", "0.5", "0.211", "0.475"),
        ("3/8", ("16 UNC", "24 UNF"), "5/8", "6", "0.5625", "0.243", "0.5344"),
        ("7/16", ("14 UNC", "20 UNF"), "3/4", "6", "0.625", "0.291", "0.5938"),
        ("1/2", ("13 UNC", "20 UNF"), "3/4", "8", "0.75", "0.323", "0.7125"),
        ("9/16", ("12 UNC", "18 UNF"), "1", "8", "0.8125", "0.371", "0.7719"),
        ("5/8", ("11 UNC", "18 UNF"), "1", "8", "0.9375", "0.403", "0.8906"),
        ("3/4", ("10 UNC", "16 UNF"), "1", "8", "1.125", "0.483", "1.0688"),
        ("7/8", ("9 UNC", "14 UNF"), "1-1/4", "8", "1.3125", "0.563", "1.2469"),
        ("1", ("8 UNC", "12 UNF"), "1-1/2", "8", "1.5", "0.627", "1.425"),
    )
    for tpi in pitches
)

# Eighths to 1 in, quarters to 4 in, halves beyond: common practice, no source.
_LENGTHS_TEXT = (
    "1/2 5/8 3/4 7/8 1 1-1/4 1-1/2 1-3/4 2 2-1/4 2-1/2 2-3/4 3 3-1/4 3-1/2 3-3/4 4 "
    "4-1/2 5 5-1/2 6 6-1/2 7 7-1/2 8"
)
LENGTHS = tuple(_LENGTHS_TEXT.split())

# Up to (in), then minus (in) for 1/4 to 3/8, to 1/2, to 3/4, to 1; plus is nil.
# From memory; 1 to 2.5 in for 1/4 to 3/4 agrees with the study's worked case 10.
LENGTH_MINUS = (
    ("1", "0.03", "0.03", "0.03", "0.05"),
    ("2.5", "0.04", "0.06", "0.08", "0.10"),
    ("4", "0.06", "0.08", "0.10", "0.14"),
    ("6", "0.10", "0.10", "0.10", "0.16"),
    ("", "0.18", "0.18", "0.18", "0.20"),
)
SHANKS_UPTO = tuple(Fraction(x) * INCH for x in ("3/8", "1/2", "3/4", "1"))

LONG_OVER_MM = 6 * INCH


def cap_screw_thread_mm(d_mm: Fraction, length_mm: Fraction) -> Fraction:
    """Reference thread length LT, mm."""
    extra = Fraction(1, 2) if length_mm > LONG_OVER_MM else Fraction(1, 4)
    return 2 * d_mm + extra * INCH


def one_sided(d_mm: Fraction, rows: tuple[tuple[str, ...], ...]) -> tuple[Band, ...]:
    """Length tolerances that take all of the band below the nominal length."""
    column = 1 + next(i for i, upto in enumerate(SHANKS_UPTO) if d_mm <= upto)
    return tuple(
        Band(
            Fraction(row[0]) * INCH if row[0] else None,
            Fraction(0),
            Fraction(row[column]) * INCH,
        )
        for row in rows
    )


@lru_cache(maxsize=32)
def length_bands(d_mm: Fraction) -> tuple[Band, ...]:
    """Length tolerances of hex cap screws."""
    return one_sided(d_mm, LENGTH_MINUS)


STANDARD = ScrewStandard(
    code="ASME B18.2.1",
    title="Hex cap screws, inch",
    source=SOURCE,
    head="hex",
    unit="inch",
    rows=ROWS,
    lengths=LENGTHS,
    thread_length=cap_screw_thread_mm,
    bands=length_bands,
    classes=("grade 5", "grade 8"),
)
