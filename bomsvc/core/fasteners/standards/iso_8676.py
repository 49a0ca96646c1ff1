"""ISO 8676: hexagon head screws, fine pitch, threaded up to the head."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import ScrewStandard
from bomsvc.core.fasteners.standards import iso_888, iso_4759_1

SOURCE = (
    "ISO 8676 as reproduced: FastenersWB e589bcb iso8676def.csv (ranges); s, k, dw as "
    "ISO 8765 (that file's s = 15 for M10 and dw = 19.64 for M14 are its own errors)"
)

# size, shortest, longest, full_to, s, k, head, dw
ROWS = (
    ("M8x1", "16", "80", "", "13", "5.3", "", "11.63"),
    ("M10x1", "20", "100", "", "16", "6.4", "", "14.63"),
    ("M10x1.25", "20", "100", "", "16", "6.4", "", "14.63"),
    ("M12x1.25", "25", "120", "", "18", "7.5", "", "16.63"),
    ("M12x1.5", "25", "120", "", "18", "7.5", "", "16.63"),
    ("M14x1.5", "30", "140", "", "21", "8.8", "", "19.37"),
    ("M16x1.5", "35", "160", "", "24", "10", "", "22.49"),
    ("M18x1.5", "35", "180", "", "27", "11.5", "", "25.34"),
    ("M20x1.5", "40", "200", "", "30", "12.5", "", "28.19"),
    ("M20x2", "40", "200", "", "30", "12.5", "", "28.19"),
    ("M22x1.5", "45", "220", "", "34", "14", "", "31.71"),
    ("M24x2", "40", "200", "", "36", "15", "", "33.61"),
)

STANDARD = ScrewStandard(
    code="ISO 8676",
    title="Hexagon head screws, fine pitch, threaded up to the head",
    source=SOURCE,
    head="hex",
    unit="mm",
    rows=ROWS,
    lengths=iso_888.LENGTHS,
    thread_length=None,
    bands=iso_4759_1.grade_a_then_b,
    classes=("8.8", "10.9", "12.9"),
)
