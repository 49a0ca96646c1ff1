"""ISO 15071: hexagon bolts with flange, small series, coarse pitch."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import ScrewStandard
from bomsvc.core.fasteners.standards import iso_888, iso_4759_1

SOURCE = (
    "ISO 15071 as reproduced: FastenersWB ae90a86 iso15071def.csv (s, k max, dc max, "
    "dw min, range, threaded to the head up to)"
)

# size, shortest, longest, full_to, s, k max, dc max, dw
ROWS = (
    ("M5", "10", "50", "25", "7", "5.6", "11.4", "9.4"),
    ("M6", "12", "60", "30", "8", "6.9", "13.6", "11.6"),
    ("M8", "16", "80", "35", "10", "8.5", "17", "14.9"),
    ("M10", "20", "100", "40", "13", "9.7", "20.8", "18.7"),
    ("M12", "25", "120", "45", "15", "12.1", "24.7", "22.5"),
    ("M14", "30", "140", "50", "18", "12.9", "28.6", "26.4"),
    ("M16", "40", "160", "55", "21", "15.2", "32.8", "30.6"),
)

STANDARD = ScrewStandard(
    code="ISO 15071",
    title="Hexagon bolts with flange, small series",
    source=SOURCE,
    head="flange",
    unit="mm",
    rows=ROWS,
    lengths=iso_888.LENGTHS,
    thread_length=iso_888.bolt_thread_mm,
    bands=iso_4759_1.grade_a,
    classes=("8.8", "10.9", "12.9"),
)
