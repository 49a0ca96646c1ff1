"""ISO 4017: hexagon head screws, coarse pitch, threaded up to the head."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import ScrewStandard
from bomsvc.core.fasteners.standards import iso_888, iso_4759_1

SOURCE = (
    "ISO 4017 as reproduced: ranges M6 to M12 firm in bd_warehouse 0.4.0, FastenersWB "
    "ae90a86 and BOLTS f8c8ad8, M5 and M14 to M24 differ by source; s, k, dw as "
    "ISO 4014; first full thread at 3P: BOLTS data/hex.blt"
)

# size, shortest, longest, full_to, s, k, head, dw
ROWS = (
    ("M5", "10", "50", "", "8", "3.5", "", "6.88"),
    ("M6", "12", "60", "", "10", "4", "", "8.88"),
    ("M8", "16", "80", "", "13", "5.3", "", "11.63"),
    ("M10", "20", "100", "", "16", "6.4", "", "14.63"),
    ("M12", "25", "120", "", "18", "7.5", "", "16.63"),
    ("M14", "30", "140", "", "21", "8.8", "", "19.37"),
    ("M16", "30", "150", "", "24", "10", "", "22.49"),
    ("M18", "35", "180", "", "27", "11.5", "", "25.34"),
    ("M20", "40", "150", "", "30", "12.5", "", "28.19"),
    ("M22", "45", "200", "", "34", "14", "", "31.71"),
    ("M24", "50", "150", "", "36", "15", "", "33.61"),
)

STANDARD = ScrewStandard(
    code="ISO 4017",
    title="Hexagon head screws, threaded up to the head",
    source=SOURCE,
    head="hex",
    unit="mm",
    rows=ROWS,
    lengths=iso_888.LENGTHS,
    thread_length=None,
    bands=iso_4759_1.grade_a_then_b,
    classes=("8.8", "10.9", "12.9"),
)
