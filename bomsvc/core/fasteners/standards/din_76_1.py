"""DIN 76-1: run-out of blind holes, from the last full thread to the bottom."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import RunoutStandard

SOURCE = "DIN 76-1 as reproduced: FreeCAD 003e239 FeatureHole.cpp ThreadRunout"

# P, e1 (normal); mm. A pitch between two rows takes the longer run-out.
ROWS = (
    ("0.8", "4.2"),
    ("1", "5.1"),
    ("1.25", "6.2"),
    ("1.5", "7.3"),
    ("1.75", "8.3"),
    ("2", "9.3"),
    ("2.5", "11.2"),
    ("3", "13.1"),
    ("3.5", "15.2"),  # from memory; serves 1-8 UNC, whose pitch is 3.175 mm
)

STANDARD = RunoutStandard(
    code="DIN 76-1", title="Run-out of tapped blind holes", source=SOURCE, rows=ROWS
)
