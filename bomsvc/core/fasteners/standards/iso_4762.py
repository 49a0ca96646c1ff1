"""ISO 4762: hexagon socket head cap screws, coarse pitch."""

from __future__ import annotations

from fractions import Fraction

from bomsvc.core.fasteners.kinds import ScrewStandard
from bomsvc.core.fasteners.standards import iso_888, iso_4759_1

SOURCE = (
    "ISO 4762 as reproduced: FastenersWB ae90a86 iso4762def.csv (dk plain, key, dw, "
    "ranges); BOLTS f8c8ad8 data/hex_socket.blt (b, threaded to the head up to)"
)

# size, shortest, longest, full_to, key, k, dk, dw
ROWS = (
    ("M5", "8", "50", "25", "4", "5", "8.5", "8.03"),
    ("M6", "10", "60", "30", "5", "6", "10", "9.38"),
    ("M8", "12", "80", "35", "6", "8", "13", "12.33"),
    ("M10", "16", "100", "40", "8", "10", "16", "15.33"),
    ("M12", "20", "120", "50", "10", "12", "18", "17.23"),
    ("M14", "25", "140", "55", "12", "14", "21", "20.17"),
    ("M16", "25", "160", "60", "14", "16", "24", "23.17"),
    ("M20", "30", "200", "70", "17", "20", "30", "28.87"),
    ("M24", "40", "200", "80", "19", "24", "36", "34.81"),
)


def socket_thread_mm(d_mm: Fraction, _length_mm: Fraction) -> Fraction:
    """Reference thread length b, mm: the same at every length."""
    return 2 * d_mm + 12


STANDARD = ScrewStandard(
    code="ISO 4762",
    title="Hexagon socket head cap screws",
    source=SOURCE,
    head="socket",
    unit="mm",
    rows=ROWS,
    lengths=iso_888.LENGTHS,
    thread_length=socket_thread_mm,
    bands=iso_4759_1.grade_a,
    classes=("8.8", "10.9", "12.9"),
)
