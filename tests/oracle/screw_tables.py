"""The few fastener figures the oracle needs, mm, N and MPa.

Sources: thread limits ISO 965-1 6g/6H as reproduced by threadlib; lengths, ranges
and thread lengths ISO 888, 4014, 4017, 4762 as reproduced by bd_warehouse and
BOLTS; strengths ISO 898-1 as reproduced by distributors' tables; strip area
FED-STD-H28/2B form; run-out DIN 76-1 as reproduced by FreeCAD.
"""

from __future__ import annotations

from fractions import Fraction

# pitch, stress area, smallest screw diameter, largest hole pitch diameter, run-out
THREADS = {
    "M6": (
        Fraction("1"),
        Fraction("20.1"),
        Fraction("5.794"),
        Fraction("5.500"),
        Fraction("5.1"),
    ),
    "M8": (
        Fraction("1.25"),
        Fraction("36.6"),
        Fraction("7.76"),
        Fraction("7.348"),
        Fraction("6.2"),
    ),
    "M10": (
        Fraction("1.5"),
        Fraction("58.0"),
        Fraction("9.732"),
        Fraction("9.206"),
        Fraction("7.3"),
    ),
    "M12": (
        Fraction("1.75"),
        Fraction("84.3"),
        Fraction("11.70"),
        Fraction("11.063"),
        Fraction("8.3"),
    ),
    "M16": (
        Fraction("2"),
        Fraction("157"),
        Fraction("15.68"),
        Fraction("14.913"),
        Fraction("9.3"),
    ),
}
SERIES = (
    6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100, 110,
    120, 130, 140, 150, 160,
)  # fmt: skip
RANGES = {
    ("ISO 4014", "M6"): (30, 60), ("ISO 4014", "M8"): (40, 80),
    ("ISO 4014", "M10"): (45, 100), ("ISO 4014", "M12"): (50, 120),
    ("ISO 4014", "M16"): (65, 160),
    ("ISO 4017", "M6"): (12, 60), ("ISO 4017", "M8"): (16, 80),
    ("ISO 4017", "M10"): (20, 100), ("ISO 4017", "M12"): (25, 120),
    ("ISO 4017", "M16"): (30, 150),
    ("ISO 4762", "M6"): (10, 60), ("ISO 4762", "M8"): (12, 80),
    ("ISO 4762", "M10"): (16, 100), ("ISO 4762", "M12"): (20, 120),
    ("ISO 4762", "M16"): (25, 160),
}  # fmt: skip
# ISO 4762: threaded to the head up to this length.
SOCKET_FULL = {"M6": 30, "M8": 35, "M10": 40, "M12": 50, "M16": 60}
# Half the js15 tolerance, by the upper end of the range of nominal lengths.
JS15 = (
    (10, Fraction("0.29")), (18, Fraction("0.35")), (30, Fraction("0.42")),
    (50, Fraction("0.50")), (80, Fraction("0.60")), (120, Fraction("0.70")),
    (180, Fraction("0.80")),
)  # fmt: skip
# Half the js17 tolerance likewise.
JS17 = (
    (10, Fraction("0.75")), (18, Fraction("0.90")), (30, Fraction("1.05")),
    (50, Fraction("1.25")), (80, Fraction("1.50")), (120, Fraction("1.75")),
    (180, Fraction("2.00")),
)  # fmt: skip
TENSILE = {"8.8": 800, "10.9": 1040, "12.9": 1220}
SHEAR = {
    "steel": (Fraction(400), Fraction("0.6")),
    "grey_iron": (Fraction(250), Fraction("0.9")),
    "ductile_iron": (Fraction(400), Fraction("0.9")),
    "aluminium": (Fraction(200), Fraction("0.65")),
}
GUIDE = {
    "steel": {"8.8": Fraction(1), "10.9": Fraction(1), "12.9": Fraction(1)},
    "ductile_iron": {"8.8": Fraction(1), "10.9": Fraction(1), "12.9": Fraction(1)},
    "grey_iron": {
        "8.8": Fraction("1.25"),
        "10.9": Fraction("1.25"),
        "12.9": Fraction("1.5"),
    },
    "aluminium": {"8.8": Fraction(2), "10.9": Fraction("2.5"), "12.9": Fraction("2.5")},
}
PI = Fraction("3.14159265358979323846264338327950288419716939937510")
