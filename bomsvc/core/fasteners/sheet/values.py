"""What a joint sheet is made from, and what it says.

Coordinates are mm from the joint's datum, x to the right and y upwards, seen from
the head side. Heights in a stack are mm downwards from the bearing face.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Literal, NamedTuple

from bomsvc.core.fasteners.torque import TorqueAnswer
from bomsvc.core.fasteners.values import Finding, GroupStack, SizedGroup

Shape = Literal[
    "circle", "square", "triangle", "diamond", "hexagon", "kite", "pentagon", "slab"
]
Point = tuple[Fraction, Fraction]


class HoleSpot(NamedTuple):
    """A hole by its number; `at` None: the catalogue has no place for it."""

    number: int
    at: Point | None = None


class Bore(NamedTuple):
    """A circle of the outline: a bore, a dowel, a port."""

    at: Point
    d_mm: Fraction


class TighteningPass(NamedTuple):
    """One stated pass; one of the four figures is given."""

    groups: tuple[str, ...] = ()
    order: tuple[int, ...] = ()
    torque_nm: Fraction | None = None
    angle_deg: Fraction | None = None
    loosen_deg: Fraction | None = None
    stretch_mm: Fraction | None = None


class SheetGroup(NamedTuple):
    """One group of holes on one engine, sized.

    Attributes:
        label: As people call these holes.
        reuse: Whether the screw may be used again, a sentence; None: freely.
        deviations: What is on file for this engine at these holes.
    """

    stack: GroupStack
    sized: SizedGroup
    holes: tuple[HoleSpot, ...] = ()
    label: str = ""
    part_name: str | None = None
    reuse: str | None = None
    deviations: tuple[str, ...] = ()


class SheetAsk(NamedTuple):
    """A joint of one engine: what the sheet is drawn from."""

    code: str
    label: str
    groups: tuple[SheetGroup, ...]
    outline: tuple[Point, ...] = ()
    bores: tuple[Bore, ...] = ()
    passes: tuple[TighteningPass, ...] = ()
    loosen_order: tuple[int, ...] = ()
    note: str | None = None
    friction: Fraction | None = None


class Letter(NamedTuple):
    """One kind of screw of the joint: a letter and a shape on the map."""

    letter: str
    shape: Shape
    tint: int


class SheetRow(NamedTuple):
    """The table's row for one letter.

    Attributes:
        size: Thread and length, "M10 x 55"; None where nothing fits.
        holes: Numbers of the holes, ascending.
        least_margin_mm: The smallest margin over the letter's groups.
        condition: How the threads go in.
        estimate: Our torque estimate, or why there is none.
    """

    letter: Letter
    groups: tuple[str, ...]
    labels: tuple[str, ...]
    designation: str
    size: str | None
    property_class: str | None
    holes: tuple[int, ...]
    hole_count: int
    part: str | None
    part_name: str | None
    least_margin_mm: Fraction | None
    margins: tuple[tuple[str, str], ...]
    condition: str
    reuse: str | None
    estimate: TorqueAnswer | None
    trouble: tuple[str, ...]


class Mark(NamedTuple):
    """A hole on the map; `turn` is its place in the tightening order."""

    hole: int
    at: Point
    letter: Letter
    turn: int | None


class ScrewMap(NamedTuple):
    """The joint seen from the head side, to scale."""

    title: str
    outline: tuple[Point, ...]
    bores: tuple[Bore, ...]
    marks: tuple[Mark, ...]
    order: tuple[int, ...]
    legend: tuple[tuple[Letter, str], ...]
    unplaced: tuple[int, ...]


class Slice(NamedTuple):
    """One layer of a stack, mm below the bearing face."""

    name: str
    top: Fraction
    bottom: Fraction
    kind: Literal["hard", "soft", "base", "nut"]
    note: str


class Fastener(NamedTuple):
    """The screw or stud in the stack, nominal, mm below the bearing face."""

    d: Fraction
    root: Fraction
    pitch: Fraction
    head: Literal["hex", "flange", "socket", "nut"]
    head_height: Fraction
    head_width: Fraction
    washer_face: Fraction
    top: Fraction
    tip: Fraction
    thread_from: Fraction
    stud_thread_to: Fraction | None = None


class TappedHole(NamedTuple):
    """The hole in the base, mm below the bearing face; `through` has no bottom."""

    minor: Fraction
    top: Fraction
    entry: Fraction
    thread_end: Fraction
    drill_end: Fraction
    through: bool


class Measure(NamedTuple):
    """A dimension beside the stack."""

    top: Fraction
    bottom: Fraction
    lines: tuple[str, ...]


class StackView(NamedTuple):
    """One group's stack seen from the side, to scale."""

    title: str
    letter: Letter
    slices: tuple[Slice, ...]
    fastener: Fastener | None
    hole: TappedHole | None
    measures: tuple[Measure, ...]
    caption: str


class JointSheet(NamedTuple):
    """A joint sheet: values first, drawings as SVG text beside them."""

    code: str
    label: str
    rows: tuple[SheetRow, ...]
    passes: tuple[str, ...]
    loosen_order: tuple[int, ...]
    notes: tuple[str, ...]
    deviations: tuple[str, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...]
    screw_map: ScrewMap | None
    stacks: tuple[StackView, ...]
    map_svg: str | None
    stack_svgs: tuple[str, ...]
