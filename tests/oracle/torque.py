"""Stated torque against the proof load of its screw, from the published figures.

F = T / (0.16 P + 0.58 d2 mu + DKm mu / 2), mu 0.12 as a rule and 0.08 at the lowest
of its class (VDI 2230, Kellermann and Klein; from memory). Washer faces: ISO 4762 and
ISO 4014/4017 dw min, product grade A; clearance holes ISO 273 medium; proof stress
ISO 898-1; all from memory.
"""

from __future__ import annotations

from fractions import Fraction

from tests.oracle.screw_tables import THREADS

FACE = {
    "ISO 4762": {"M6": "9.38", "M8": "12.33", "M10": "15.33", "M12": "17.23"},
    "ISO 4014": {"M6": "8.88", "M8": "11.63", "M10": "14.63", "M12": "16.63"},
    "ISO 4017": {"M6": "8.88", "M8": "11.63", "M10": "14.63", "M12": "16.63"},
}
CLEARANCE = {"M6": "6.6", "M8": "9", "M10": "11", "M12": "13.5"}
PROOF_MPA = {"8.8": 580, "10.9": 830, "12.9": 970}


def load_shares(
    standard: str, thread: str, property_class: str, torque_nm: Fraction
) -> tuple[Fraction, Fraction]:
    """Preload over proof load, as a rule and at the lowest friction."""
    size = thread.partition("x")[0]
    pitch, area, *_ = THREADS[size]
    middle = Fraction(size[1:]) - Fraction("0.649519") * pitch
    bearing = (Fraction(FACE[standard][size]) + Fraction(CLEARANCE[size])) / 2
    proof = area * PROOF_MPA[property_class]

    def share(friction: Fraction) -> Fraction:
        lever = (
            Fraction("0.16") * pitch
            + Fraction("0.58") * middle * friction
            + bearing / 2 * friction
        )
        return torque_nm * 1000 / lever / proof

    return share(Fraction("0.12")), share(Fraction("0.08"))
