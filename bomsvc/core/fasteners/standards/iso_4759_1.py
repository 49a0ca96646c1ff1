"""ISO 4759-1: length tolerances of product grades A (js15) and B (js17)."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from bomsvc.core.fasteners.kinds import Band, ToleranceStandard

SOURCE = (
    "ISO 4759-1 as reproduced: js15 in FastenersWB ae90a86 iso888length.csv; js17 = "
    "IT17/2, 30 to 120 mm confirmed by an EN 14399-4 table; over 250 mm from memory"
)

ROWS = (
    ("3", "0.20", "0.50"),
    ("6", "0.24", "0.60"),
    ("10", "0.29", "0.75"),
    ("18", "0.35", "0.90"),
    ("30", "0.42", "1.05"),
    ("50", "0.50", "1.25"),
    ("80", "0.60", "1.50"),
    ("120", "0.70", "1.75"),
    ("180", "0.80", "2.00"),
    ("250", "0.925", "2.30"),
    ("315", "1.05", "2.60"),  # from memory: half of IT15 2.10 and IT17 5.20
    ("400", "1.15", "2.85"),  # from memory: half of IT15 2.30 and IT17 5.70
    ("500", "1.25", "3.15"),  # from memory: half of IT15 2.50 and IT17 6.30
)

GRADE_A_LONGEST_MM = Fraction(150)
"""Grade A: d <= 24, l <= 10 d and l <= 150 mm (AS 1110.1 = ISO 4014, scope)."""


@lru_cache(maxsize=64)
def grade_a(_d_mm: Fraction) -> tuple[Band, ...]:
    """Length tolerances where every length is grade A (ISO 4762, flange bolts)."""
    bands = [_band(Fraction(upto), js15) for upto, js15, _ in ROWS[:-1]]
    return (*bands, _band(None, ROWS[-1][1]))


@lru_cache(maxsize=64)
def grade_a_then_b(d_mm: Fraction) -> tuple[Band, ...]:
    """Length tolerances of hexagon bolts and screws: A while short, then B."""
    cut = min(10 * d_mm, GRADE_A_LONGEST_MM)
    bands: list[Band] = []
    for upto_text, js15, js17 in ROWS:
        upto = Fraction(upto_text)
        if upto <= cut:
            bands.append(_band(upto, js15))
            continue
        if not bands or bands[-1].upto_mm is None or bands[-1].upto_mm < cut:
            bands.append(_band(cut, js15))
        bands.append(_band(upto, js17))
    return (*bands[:-1], _band(None, ROWS[-1][2]))


def _band(upto: Fraction | None, text: str) -> Band:
    both_ways = Fraction(text)
    return Band(upto, both_ways, both_ways)


STANDARD = ToleranceStandard(
    code="ISO 4759-1",
    title="Tolerances of bolts and screws: lengths",
    source=SOURCE,
    rows=ROWS,
)
