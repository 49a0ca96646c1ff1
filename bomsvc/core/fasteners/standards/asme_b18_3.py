"""ASME B18.3: hexagon socket head cap screws, inch."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from bomsvc.core.fasteners.kinds import INCH, Band, ScrewStandard
from bomsvc.core.fasteners.standards.asme_b18_2_1 import one_sided

SOURCE = (
    "ASME B18.3 as reproduced: head diameter, key and thread lengths in bd_warehouse "
    "0.4.0 socket_head_cap_parameters.csv and fastener.py, which also gives the "
    "shortest length with a shank (threaded to the head below it); length tolerances "
    "from memory; bearing face taken as 0.95 A, a choice"
)

# Shank, pitches, shortest, longest, threaded to the head up to, key, A, bearing.
SIZES = (
    ("1/4", "20 UNC", "28 UNF", "1/2", "5", "1-1/4", "3/16", "0.375", "0.3562"),
    ("5/16", "18 UNC", "24 UNF", "1/2", "6", "1-1/2", "1/4", "0.469", "0.4455"),
    ("3/8", "16 UNC", "24 UNF", "1/2", "7-1/2", "1-1/2", "5/16", "0.562", "0.5339"),
    ("7/16", "14 UNC", "20 UNF", "3/4", "8", "1-3/4", "3/8", "0.656", "0.6232"),
    ("1/2", "13 UNC", "20 UNF", "3/4", "8", "2", "3/8", "0.75", "0.7125"),
    ("5/8", "11 UNC", "18 UNF", "1", "8", "2-1/4", "1/2", "0.938", "0.8911"),
    ("3/4", "10 UNC", "16 UNF", "1", "8", "2-3/4", "5/8", "1.125", "1.0688"),
    ("7/8", "9 UNC", "14 UNF", "1-1/4", "8", "3", "3/4", "1.312", "1.2464"),
    ("1", "8 UNC", "12 UNF", "1-1/2", "8", "3-1/4", "3/4", "1.5", "1.425"),
)

# size, shortest, longest, full_to, key, H (= D), A, bearing
ROWS = tuple(
    (f"{shank}-{tpi}", shortest, longest, full_to, key, shank, head, bearing)
    for shank, unc, unf, shortest, longest, full_to, key, head, bearing in SIZES
    for tpi in (unc, unf)
)

# Eighths to 1 in, quarters beyond.
_LENGTHS_TEXT = (
    "1/2 5/8 3/4 7/8 1 1-1/4 1-1/2 1-3/4 2 2-1/4 2-1/2 2-3/4 3 3-1/4 3-1/2 3-3/4 4 "
    "4-1/4 4-1/2 4-3/4 5 5-1/4 5-1/2 5-3/4 6 6-1/4 6-1/2 6-3/4 7 7-1/4 7-1/2 7-3/4 "
    "8"
)
LENGTHS = tuple(_LENGTHS_TEXT.split())

# Shank (in), least full-form thread length (in).
THREAD_LENGTHS = (
    ("1/4", "1.00"),
    ("5/16", "1.12"),
    ("3/8", "1.25"),
    ("7/16", "1.38"),
    ("1/2", "1.50"),
    ("5/8", "1.75"),
    ("3/4", "2.00"),
    ("7/8", "2.25"),
    ("1", "2.50"),
)

# Up to (in), then minus (in) as in ASME B18.2.1; plus is nil. From memory.
LENGTH_MINUS = (
    ("1", "0.03", "0.03", "0.03", "0.05"),
    ("2.5", "0.04", "0.06", "0.06", "0.10"),
    ("6", "0.06", "0.08", "0.08", "0.14"),
    ("", "0.12", "0.12", "0.12", "0.20"),
)


@lru_cache(maxsize=32)
def _thread_mm(d_mm: Fraction) -> Fraction:
    # Between the rows (9/16) the rule that the rows follow: 2D + 0.50 in.
    for shank, text in THREAD_LENGTHS:
        if Fraction(shank) * INCH == d_mm:
            return Fraction(text) * INCH
    return 2 * d_mm + INCH / 2


def socket_thread_mm(d_mm: Fraction, _length_mm: Fraction) -> Fraction:
    """Thread length LT, mm: the same at every length."""
    return _thread_mm(d_mm)


@lru_cache(maxsize=32)
def length_bands(d_mm: Fraction) -> tuple[Band, ...]:
    """Length tolerances of socket head cap screws."""
    return one_sided(d_mm, LENGTH_MINUS)


STANDARD = ScrewStandard(
    code="ASME B18.3",
    title="Hexagon socket head cap screws, inch",
    source=SOURCE,
    head="socket",
    unit="inch",
    rows=ROWS,
    lengths=LENGTHS,
    thread_length=socket_thread_mm,
    bands=length_bands,
    classes=("A574", "grade 8"),
)
