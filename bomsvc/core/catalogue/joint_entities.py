"""Joints as immutable values: holes, layers, screws, tightening."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from bomsvc.core.catalogue.conditions import ALWAYS, Condition
from bomsvc.core.catalogue.references import Ref, ThreadState


@dataclass(frozen=True, slots=True)
class HolePlace:
    """A hole of a joint, mm from the joint's datum, seen from the head side."""

    hole: int
    x: Decimal | None = None
    y: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Layer:
    """A clamped layer; `count` 'qty': as many pads as the fitment's quantity."""

    position: Ref
    pad: str
    per: Literal["joint", "hole"] = "joint"
    count: Literal["1", "qty"] = "1"


@dataclass(frozen=True, slots=True)
class Into:
    """What the thread goes into: a hole of a part, a nut, or both (stud)."""

    position: Ref | None = None
    hole: str | None = None
    nut: Ref | None = None


@dataclass(frozen=True, slots=True)
class StudUse:
    """A stud instead of a screw; `stays`: left in when the joint opens."""

    position: Ref
    stays: bool = False


@dataclass(frozen=True, slots=True)
class ScrewWanted:
    """What screw is computed; standards in order of preference."""

    standard: tuple[str, ...]
    thread: str
    property_class: str
    finish: str | None = None


@dataclass(frozen=True, slots=True)
class Stated:
    """A screw that the maker states, where `when` holds."""

    part: str
    when: Condition = ALWAYS


@dataclass(frozen=True, slots=True)
class Group:
    """Holes that share stack, seat and thread.

    The joint's `screw`, `into` and `threads` defaults have been applied.
    """

    code: str
    label: str | None = None
    exists: Condition = ALWAYS
    holes: tuple[HolePlace, ...] = ()
    layers: tuple[Layer, ...] = ()
    into: Into = Into()
    stud: StudUse | None = None
    screw: ScrewWanted | None = None
    stated: tuple[Stated, ...] = ()
    engagement_mm: Decimal | None = None
    protrusion_mm: Decimal | None = None
    threads: ThreadState = "dry"


@dataclass(frozen=True, slots=True)
class Pass:
    """One tightening pass; exactly one of the four figures is given."""

    groups: tuple[str, ...] = ()
    order: tuple[int, ...] = ()
    torque_nm: Decimal | None = None
    angle_deg: Decimal | None = None
    loosen_deg: Decimal | None = None
    stretch_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Tighten:
    """How the maker tightens the joint, and in which order holes are loosened."""

    passes: tuple[Pass, ...] = ()
    loosen_order: tuple[int, ...] = ()
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle of a drawing: centre and diameter, mm."""

    x: Decimal
    y: Decimal
    d: Decimal


@dataclass(frozen=True, slots=True)
class Drawing:
    """Outline points in order (closed), and circles; mm, as `HolePlace`."""

    outline: tuple[tuple[Decimal, Decimal], ...] = ()
    circles: tuple[Circle, ...] = ()


@dataclass(frozen=True, slots=True)
class Joint:
    """Groups of holes that are opened and closed together."""

    code: str
    label: str
    each: str | None = None
    exists: Condition = ALWAYS
    seals: tuple[Ref, ...] = ()
    groups: tuple[Group, ...] = ()
    tighten: Tighten | None = None
    drawing: Drawing | None = None
