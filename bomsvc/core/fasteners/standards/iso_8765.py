"""ISO 8765: hexagon head bolts, fine pitch, with a shank."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import ScrewStandard
from bomsvc.core.fasteners.standards import iso_888, iso_4759_1

SOURCE = (
    "ISO 8765 as reproduced: FastenersWB ae90a86 iso8765def.csv (s, k, dw, grade A; "
    "ranges); thread lengths as ISO 888"
)

# size, shortest, longest, full_to, s, k, head, dw
ROWS = (
    ("M8x1", "40", "80", "", "13", "5.3", "", "11.63"),
    ("M10x1", "45", "100", "", "16", "6.4", "", "14.63"),
    ("M10x1.25", "45", "100", "", "16", "6.4", "", "14.63"),
    ("M12x1.25", "50", "120", "", "18", "7.5", "", "16.63"),
    ("M12x1.5", "50", "120", "", "18", "7.5", "", "16.63"),
    ("M14x1.5", "60", "140", "", "21", "8.8", "", "19.37"),
    ("M16x1.5", "65", "160", "", "24", "10", "", "22.49"),
    ("M18x1.5", "70", "180", "", "27", "11.5", "", "25.34"),
    ("M20x1.5", "80", "200", "", "30", "12.5", "", "28.19"),
    ("M20x2", "80", "200", "", "30", "12.5", "", "28.19"),
    ("M22x1.5", "90", "220", "", "34", "14", "", "31.71"),
    ("M24x2", "100", "240", "", "36", "15", "", "33.61"),
)

STANDARD = ScrewStandard(
    code="ISO 8765",
    title="Hexagon head bolts, fine pitch",
    source=SOURCE,
    head="hex",
    unit="mm",
    rows=ROWS,
    lengths=iso_888.LENGTHS,
    thread_length=iso_888.bolt_thread_mm,
    bands=iso_4759_1.grade_a_then_b,
    classes=("8.8", "10.9", "12.9"),
    twin="ISO 8676",
)
