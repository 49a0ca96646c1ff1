"""SAE J429: grades of inch bolts, screws and studs."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import ClassStandard

SOURCE = (
    "SAE J429 as reproduced: Shigley 9e table 8-9; loads in an SAE J429 table at "
    "lfportal.everettwa.gov 454746 p. 13"
)

# class, over d (in), up to d (in), tensile, yield, proof; ksi
ROWS = (
    ("grade 5", "0", "1", "120", "92", "85"),
    ("grade 8", "0", "1", "150", "130", "120"),
)

STANDARD = ClassStandard(
    code="SAE J429",
    title="Grades of inch bolts, screws and studs",
    source=SOURCE,
    unit="inch",
    rows=ROWS,
    metric_peer={"grade 5": "8.8", "grade 8": "10.9"},
)
