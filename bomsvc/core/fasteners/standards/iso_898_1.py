"""ISO 898-1: property classes of bolts, screws and studs."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import ClassStandard

SOURCE = (
    "ISO 898-1:2013 as reproduced: proof and ultimate loads at staging2.optimas.com "
    "iso-metric-thread-proof-loads; Shigley 9e table 8-11 (which prints M16 8.8 with "
    "the larger sizes; ISO 898-1 does not)"
)

# class, over d, up to d, Rm min, Rp0.2 min, Sp; MPa
ROWS = (
    ("8.8", "0", "16", "800", "640", "580"),
    ("8.8", "16", "39", "830", "660", "600"),
    ("10.9", "0", "39", "1040", "940", "830"),
    ("12.9", "0", "39", "1220", "1100", "970"),
)

STANDARD = ClassStandard(
    code="ISO 898-1",
    title="Property classes of bolts, screws and studs",
    source=SOURCE,
    unit="mm",
    rows=ROWS,
    metric_peer={"8.8": "8.8", "10.9": "10.9", "12.9": "12.9"},
)
