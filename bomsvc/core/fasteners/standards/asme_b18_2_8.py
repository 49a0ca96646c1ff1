"""ASME B18.2.8: clearance holes for inch screws."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import ClearanceStandard

SOURCE = (
    "ASME B18.2.8 as reproduced: bd_warehouse 0.4.0 clearance_hole_sizes.csv (1/4 to "
    "1); 9/16 there is 1/32 over the shank, kept as common practice, no source"
)

# size, close, normal, loose; inch
ROWS = (
    ("1/4", "17/64", "9/32", "19/64"),
    ("5/16", "21/64", "11/32", "23/64"),
    ("3/8", "25/64", "13/32", "27/64"),
    ("7/16", "29/64", "15/32", "31/64"),
    ("1/2", "17/32", "9/16", "39/64"),
    ("9/16", "0.5781", "0.5937", "0.6094"),
    ("5/8", "21/32", "11/16", "47/64"),
    ("3/4", "25/32", "13/16", "29/32"),
    ("7/8", "29/32", "15/16", "1-1/32"),
    ("1", "1-1/32", "1-3/32", "1-5/32"),
)

STANDARD = ClearanceStandard(
    code="ASME B18.2.8",
    title="Clearance holes for inch screws",
    source=SOURCE,
    unit="inch",
    rows=ROWS,
)
