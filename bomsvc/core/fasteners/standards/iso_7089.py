"""ISO 7089: plain washers, normal series."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import WasherStandard

SOURCE = (
    "ISO 7089 as reproduced: FastenersWB ae90a86 iso7089def.csv (h, h max), M14, M18 "
    "and M22 in BOLTS f8c8ad8 data/washer.blt; least thickness by symmetry"
)

# size, d1 min, d2 max, h min, h, h max
ROWS = (
    ("M5", "5.3", "10", "0.9", "1", "1.1"),
    ("M6", "6.4", "12", "1.4", "1.6", "1.8"),
    ("M8", "8.4", "16", "1.4", "1.6", "1.8"),
    ("M10", "10.5", "20", "1.8", "2", "2.2"),
    ("M12", "13", "24", "2.3", "2.5", "2.7"),
    ("M14", "15", "28", "2.3", "2.5", "2.7"),
    ("M16", "17", "30", "2.7", "3", "3.3"),
    ("M18", "19", "34", "2.7", "3", "3.3"),
    ("M20", "21", "37", "2.7", "3", "3.3"),
    ("M22", "23", "39", "2.7", "3", "3.3"),
    ("M24", "25", "44", "3.7", "4", "4.3"),
)

STANDARD = WasherStandard(
    code="ISO 7089", title="Plain washers, normal series", source=SOURCE, rows=ROWS
)
