"""The standards this service knows: one module each, listed here.

Adding one is a module with `SOURCE` and `STANDARD`, a line below, and a file of
three cited cases in `tests/reference`.
"""

from __future__ import annotations

from bomsvc.core.fasteners.kinds import Standard
from bomsvc.core.fasteners.standards import (
    asme_b1_1,
    asme_b18_2_1,
    asme_b18_2_8,
    asme_b18_3,
    astm_a574,
    din_76_1,
    din_938,
    iso_261,
    iso_273,
    iso_888,
    iso_898_1,
    iso_4014,
    iso_4017,
    iso_4032,
    iso_4161,
    iso_4759_1,
    iso_4762,
    iso_7089,
    iso_7090,
    iso_8676,
    iso_8765,
    iso_15071,
    iso_15072,
    sae_j429,
)

REGISTRY: tuple[Standard, ...] = (
    iso_4014.STANDARD,
    iso_4017.STANDARD,
    iso_8765.STANDARD,
    iso_8676.STANDARD,
    iso_4762.STANDARD,
    iso_15071.STANDARD,
    iso_15072.STANDARD,
    asme_b18_2_1.STANDARD,
    asme_b18_3.STANDARD,
    din_938.STANDARD,
    iso_4032.STANDARD,
    iso_4161.STANDARD,
    iso_7089.STANDARD,
    iso_7090.STANDARD,
    iso_898_1.STANDARD,
    sae_j429.STANDARD,
    astm_a574.STANDARD,
    iso_261.STANDARD,
    asme_b1_1.STANDARD,
    iso_273.STANDARD,
    asme_b18_2_8.STANDARD,
    din_76_1.STANDARD,
    iso_888.STANDARD,
    iso_4759_1.STANDARD,
)
