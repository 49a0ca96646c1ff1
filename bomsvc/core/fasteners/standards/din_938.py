"""DIN 938, 939 and 835: studs, by how deep their set end goes."""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import StudStandard

SOURCE = "DIN 938, 939 and 835, set ends of 1, 1.25 and 2 diameters, from memory"

# standard, set end in diameters, meant for
ROWS = (
    ("DIN 938", "1", "steel"),
    ("DIN 939", "1.25", "grey iron"),
    ("DIN 835", "2", "aluminium"),
)

STANDARD = StudStandard(
    code="DIN 938",
    title="Studs by the length of their set end",
    source=SOURCE,
    rows=ROWS,
)
