"""ISO 7090: plain chamfered washers, normal series."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import WasherStandard
from bomsvc.core.fasteners.standards import iso_7089

SOURCE = (
    "ISO 7090 as reproduced: thicknesses as ISO 7089 in FastenersWB ae90a86 "
    "iso7089def.csv, which serves both; not made in M14, M18 and M22 there"
)

SECOND_CHOICE = ("M14", "M18", "M22")

# size, d1 min, d2 max, h min, h, h max
ROWS = tuple(row for row in iso_7089.ROWS if row[0] not in SECOND_CHOICE)

STANDARD = WasherStandard(
    code="ISO 7090",
    title="Plain washers, chamfered, normal series",
    source=SOURCE,
    rows=ROWS,
)
