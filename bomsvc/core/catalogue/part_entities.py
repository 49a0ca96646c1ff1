"""Parts as immutable values: their engineering data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from bomsvc.core.catalogue.references import Material, Ref


@dataclass(frozen=True, slots=True)
class Pad:
    """What a part adds to a clamped stack: mm, both tolerances as magnitudes."""

    mm: Decimal
    plus: Decimal = Decimal(0)
    minus: Decimal = Decimal(0)
    soft: bool = False
    free_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Hole:
    """A tapped hole in a part; every length in mm, tolerances as magnitudes."""

    thread: str
    form: Literal["blind", "through"]
    material: Material
    threaded_mm: Decimal | None = None
    drilled_mm: Decimal | None = None
    entry_mm: Decimal = Decimal(0)
    entry_plus: Decimal = Decimal(0)
    entry_minus: Decimal = Decimal(0)
    thickness_mm: Decimal | None = None
    thickness_plus: Decimal = Decimal(0)
    thickness_minus: Decimal = Decimal(0)
    exit_mm: Decimal = Decimal(0)
    strength_mpa: Decimal | None = None
    breaks_into: Literal["none", "coolant", "oil", "fuel"] = "none"


@dataclass(frozen=True, slots=True)
class ScrewData:
    """What makes a part a screw; lengths in mm."""

    standard: str
    thread: str
    length_mm: Decimal
    property_class: str
    finish: str | None = None
    fully_threaded: bool | None = None
    """None: as the standard says for this thread and length."""
    thread_mm: Decimal | None = None
    preferred: bool = False


@dataclass(frozen=True, slots=True)
class NutData:
    """What makes a part a nut; lengths in mm. No height: as the standard says."""

    standard: str
    thread: str
    height_mm: Decimal | None = None
    plus: Decimal = Decimal(0)
    minus: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class StudData:
    """What makes a part a stud: overall length and set end, mm."""

    hole_thread: str
    nut_thread: str
    property_class: str
    length_mm: Decimal
    plus: Decimal = Decimal(0)
    minus: Decimal = Decimal(0)
    set_mm: Decimal = Decimal(0)
    set_plus: Decimal = Decimal(0)
    set_minus: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class ReuseLimit:
    """A fastener that may be used again while it stays within these limits."""

    max_length_mm: Decimal | None = None
    max_uses: int | None = None
    inspect: str | None = None


@dataclass(frozen=True, slots=True)
class Content:
    """A part of what is sold together."""

    part: str
    qty: Decimal = Decimal(1)


@dataclass(frozen=True, slots=True)
class SoldAs:
    """Not sold alone: `number`, itself a part, is ordered, and holds `contents`."""

    number: str
    contents: tuple[Content, ...]


Kind = Literal[
    "component",
    "gasket",
    "seal",
    "screw",
    "nut",
    "washer",
    "stud",
    "shim",
    "fluid",
    "sealant",
    "filter",
    "hose",
    "clamp",
    "tool",
]
Unit = Literal["C62", "LTR", "MTR", "KGM", "PR", "SET"]


@dataclass(frozen=True, slots=True)
class Part:
    """Engineering data of a part."""

    number: str
    name: str
    kind: Kind = "component"
    unit: Unit = "C62"
    mass_kg: Decimal | None = None
    reuse: Literal["freely", "single"] | ReuseLimit = "freely"
    sold_as: SoldAs | None = None
    not_sold: str | None = None
    includes: tuple[Ref, ...] = ()
    renew_with: tuple[Ref, ...] = ()
    keep_matched: str | None = None
    hand: str | None = None
    cautions: tuple[str, ...] = ()
    pads: Mapping[str, Pad] = field(default_factory=dict)
    holes: Mapping[str, Hole] = field(default_factory=dict)
    screw: ScrewData | None = None
    nut: NutData | None = None
    stud: StudData | None = None
