"""ISO 4161: hexagon nuts with flange."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import NutStandard

SOURCE = "ISO 4161 as reproduced: FastenersWB 9ea9f86 iso4161def.csv (s, m min, m max)"

# size, s, m min, m max
ROWS = (
    ("M5", "8", "4.7", "5"),
    ("M6", "10", "5.7", "6"),
    ("M8", "13", "7.64", "8"),
    ("M10", "15", "9.64", "10"),
    ("M12", "18", "11.57", "12"),
    ("M14", "21", "13.3", "14"),
    ("M16", "24", "15.3", "16"),
    ("M20", "30", "18.7", "20"),
)

STANDARD = NutStandard(
    code="ISO 4161", title="Hexagon nuts with flange", source=SOURCE, rows=ROWS
)
