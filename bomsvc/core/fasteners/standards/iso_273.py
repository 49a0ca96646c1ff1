"""ISO 273: clearance holes for metric screws."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import ClearanceStandard

SOURCE = "ISO 273 as reproduced: FreeCAD 003e239 FeatureHole.cpp metricHoleDiameters"

# size, fine H12, medium H13, coarse H14
ROWS = (
    ("M5", "5.3", "5.5", "5.8"),
    ("M6", "6.4", "6.6", "7"),
    ("M8", "8.4", "9", "10"),
    ("M10", "10.5", "11", "12"),
    ("M12", "13", "13.5", "14.5"),
    ("M14", "15", "15.5", "16.5"),
    ("M16", "17", "17.5", "18.5"),
    ("M18", "19", "20", "21"),
    ("M20", "21", "22", "24"),
    ("M22", "23", "24", "26"),
    ("M24", "25", "26", "28"),
)

STANDARD = ClearanceStandard(
    code="ISO 273",
    title="Clearance holes for metric screws",
    source=SOURCE,
    unit="mm",
    rows=ROWS,
)
