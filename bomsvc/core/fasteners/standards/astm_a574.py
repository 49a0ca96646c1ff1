"""ASTM A574: alloy steel socket head cap screws, inch."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import ClassStandard

SOURCE = "ASTM A574, table of mechanical requirements, from memory"

# class, over d (in), up to d (in), tensile, yield, proof; ksi; from memory
ROWS = (
    ("A574", "0", "1/2", "180", "153", "140"),
    ("A574", "1/2", "1", "170", "153", "135"),
)

STANDARD = ClassStandard(
    code="ASTM A574",
    title="Alloy steel socket head cap screws, inch",
    source=SOURCE,
    unit="inch",
    rows=ROWS,
    metric_peer={"A574": "12.9"},
)
