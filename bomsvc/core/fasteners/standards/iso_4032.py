"""ISO 4032: hexagon nuts, style 1."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import NutStandard

SOURCE = (
    "ISO 4032 as reproduced: labbook.skippy.org.uk and trojansf.co.uk tables; greatest "
    "heights also in FastenersWB ae90a86 iso4032def.csv"
)

# size, s, m min, m max
ROWS = (
    ("M5", "8", "4.4", "4.7"),
    ("M6", "10", "4.9", "5.2"),
    ("M8", "13", "6.44", "6.8"),
    ("M10", "16", "8.04", "8.4"),
    ("M12", "18", "10.37", "10.8"),
    ("M14", "21", "12.1", "12.8"),
    ("M16", "24", "14.1", "14.8"),
    ("M18", "27", "15.1", "15.8"),
    ("M20", "30", "16.9", "18"),
    ("M22", "34", "18.1", "19.4"),
    ("M24", "36", "20.2", "21.5"),
)

STANDARD = NutStandard(
    code="ISO 4032", title="Hexagon nuts, style 1", source=SOURCE, rows=ROWS
)
