"""ISO 888: nominal lengths, and reference thread lengths of bolts."""

from __future__ import annotations

from fractions import Fraction

from bomsvc.core.fasteners.kinds import LengthStandard

SOURCE = (
    "ISO 888 as reproduced: lengths in bd_warehouse 0.4.0 nominal_screw_lengths.csv; "
    "thread lengths in BOLTS f8c8ad8 data/hex.blt and Shigley 9e table 8-7"
)

# No 75, 85 or 95: those are stock of the withdrawn DIN 931.
_LENGTHS_TEXT = (
    "6 8 10 12 16 20 25 30 35 40 45 50 55 60 65 70 80 90 100 110 120 130 140 150 160 "
    "180 200 220 240"
)
LENGTHS = tuple(_LENGTHS_TEXT.split())

MIDDLE_OVER_MM = Fraction(125)
LONG_OVER_MM = Fraction(200)


def bolt_thread_mm(d_mm: Fraction, length_mm: Fraction) -> Fraction:
    """Reference thread length b of ISO 4014, 8765, 15071 and 15072, mm."""
    if length_mm <= MIDDLE_OVER_MM:
        return 2 * d_mm + 6
    if length_mm <= LONG_OVER_MM:
        return 2 * d_mm + 12
    return 2 * d_mm + 25


STANDARD = LengthStandard(
    code="ISO 888",
    title="Nominal lengths and thread lengths of bolts and screws",
    source=SOURCE,
    lengths=LENGTHS,
)
