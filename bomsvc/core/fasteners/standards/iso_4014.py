"""ISO 4014: hexagon head bolts, coarse pitch, with a shank."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import ScrewStandard
from bomsvc.core.fasteners.standards import iso_888, iso_4759_1

SOURCE = (
    "ISO 4014 as reproduced: ranges, s and k in bd_warehouse 0.4.0 "
    "hex_head_parameters.csv; dw (grade A) in FastenersWB ae90a86 iso8765def.csv, "
    "M5 and M6 in a table of AS 1110.1 (studbolts.com)"
)

# size, shortest, longest, full_to, s, k, head, dw
ROWS = (
    ("M5", "25", "50", "", "8", "3.5", "", "6.88"),
    ("M6", "30", "60", "", "10", "4", "", "8.88"),
    ("M8", "40", "80", "", "13", "5.3", "", "11.63"),
    ("M10", "45", "100", "", "16", "6.4", "", "14.63"),
    ("M12", "50", "120", "", "18", "7.5", "", "16.63"),
    ("M14", "60", "140", "", "21", "8.8", "", "19.37"),
    ("M16", "65", "160", "", "24", "10", "", "22.49"),
    ("M18", "70", "180", "", "27", "11.5", "", "25.34"),
    ("M20", "80", "200", "", "30", "12.5", "", "28.19"),
    ("M22", "90", "220", "", "34", "14", "", "31.71"),
    ("M24", "90", "240", "", "36", "15", "", "33.61"),
)

STANDARD = ScrewStandard(
    code="ISO 4014",
    title="Hexagon head bolts",
    source=SOURCE,
    head="hex",
    unit="mm",
    rows=ROWS,
    lengths=iso_888.LENGTHS,
    thread_length=iso_888.bolt_thread_mm,
    bands=iso_4759_1.grade_a_then_b,
    classes=("8.8", "10.9", "12.9"),
    twin="ISO 4017",
)
