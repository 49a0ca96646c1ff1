"""Joint sheets: which screw goes in which hole, drawn and tabled."""

from __future__ import annotations

from bomsvc.core.fasteners.sheet.joint_sheet import joint_sheet
from bomsvc.core.fasteners.sheet.values import (
    Bore,
    HoleSpot,
    JointSheet,
    SheetAsk,
    SheetGroup,
    TighteningPass,
)

__all__ = [
    "Bore",
    "HoleSpot",
    "JointSheet",
    "SheetAsk",
    "SheetGroup",
    "TighteningPass",
    "joint_sheet",
]
