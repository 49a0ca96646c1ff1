"""ISO 15072: hexagon bolts with flange, small series, fine pitch."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import ScrewStandard
from bomsvc.core.fasteners.standards import iso_888, iso_4759_1

SOURCE = (
    "ISO 15072 as reproduced: FastenersWB 8a41f69 iso15072def.csv (s, k max, dc max, "
    "dw min, range, threaded to the head up to)"
)

# size, shortest, longest, full_to, s, k max, dc max, dw
ROWS = (
    ("M8x1", "16", "80", "35", "10", "8.5", "17", "14.9"),
    ("M10x1", "20", "100", "40", "13", "9.7", "20.8", "18.7"),
    ("M10x1.25", "20", "100", "40", "13", "9.7", "20.8", "18.7"),
    ("M12x1.25", "25", "120", "45", "15", "12.1", "24.7", "22.5"),
    ("M12x1.5", "25", "120", "45", "15", "12.1", "24.7", "22.5"),
    ("M14x1.5", "30", "140", "50", "18", "12.9", "28.6", "26.4"),
    ("M16x1.5", "35", "160", "55", "21", "15.2", "32.8", "30.6"),
)

STANDARD = ScrewStandard(
    code="ISO 15072",
    title="Hexagon bolts with flange, small series, fine pitch",
    source=SOURCE,
    head="flange",
    unit="mm",
    rows=ROWS,
    lengths=iso_888.LENGTHS,
    thread_length=iso_888.bolt_thread_mm,
    bands=iso_4759_1.grade_a,
    classes=("8.8", "10.9", "12.9"),
)
