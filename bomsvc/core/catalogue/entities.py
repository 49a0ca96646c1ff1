"""The catalogue document as immutable values, exactly as its revision says it.

One class per list of the document (design of the format: DEVELOPERS.md, "The
catalogue document"). `like` is expanded, conditions are parsed, references are
checked, and nothing has been unrolled over a series yet: see `unroll`.

Physical figures (mm, kg, MPa, minutes) are `Decimal` of at most six decimals,
exactly as written. Lists are tuples in document order. An absent optional field
is `None`, or the default that `defaults` documents.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from bomsvc.core.catalogue.conditions import ALWAYS, Condition

Material = Literal["steel", "grey_iron", "ductile_iron", "aluminium"]
ThreadState = Literal["dry", "oiled", "sealant", "locking", "patch"]


@dataclass(frozen=True, slots=True)
class Ref:
    """A reference to an item that may stand once per member of a series.

    `member` is the member written in brackets, or None: then it means the same
    member when owner and item share `each`, else all members.
    """

    code: str
    member: int | None = None

    def __str__(self) -> str:
        return self.code if self.member is None else f"{self.code}[{self.member}]"


@dataclass(frozen=True, slots=True)
class Prefix:
    """A serial prefix, and the choice that a serial typed with it answers."""

    text: str
    option: str
    choice: str


@dataclass(frozen=True, slots=True)
class Family:
    code: str
    name: str
    maker: str | None = None
    note: str | None = None
    series: Mapping[str, int] = field(default_factory=dict)
    prefixes: tuple[Prefix, ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    code: str
    label: str
    tell: str | None = None
    band_mm: tuple[Decimal, Decimal] | None = None


@dataclass(frozen=True, slots=True)
class Under:
    """The choice an option hangs from; `member` as in `Ref`."""

    option: str
    choice: str
    member: int | None = None


@dataclass(frozen=True, slots=True)
class Option:
    code: str
    label: str
    choices: tuple[Choice, ...]
    choose: Literal["one", "any"] = "one"
    under: Under | None = None
    each: str | None = None
    known: Literal["build", "measured"] = "build"
    ask: str | None = None
    usual: tuple[str, ...] | None = None
    """Usual choice codes; for `one` exactly one. None: not stated in the document."""


@dataclass(frozen=True, slots=True)
class Rule:
    code: str
    then: Condition
    because: str
    when: Condition = ALWAYS
    each: str | None = None
    strength: Literal["factory", "physical"] = "factory"


@dataclass(frozen=True, slots=True)
class Section:
    code: str
    label: str
    under: str | None = None


@dataclass(frozen=True, slots=True)
class Position:
    code: str
    label: str
    section: str
    each: str | None = None
    exists: Condition = ALWAYS
    fill: Literal["one", "optional", "several"] = "one"
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Fitment:
    """`when` None: wherever the position exists."""

    position: Ref
    part: str
    qty: Decimal = Decimal(1)
    when: Condition | None = None
    rank: int = 1
    note: str | None = None


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
    standard: str
    thread: str
    height_mm: Decimal | None = None
    plus: Decimal = Decimal(0)
    minus: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class StudData:
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
    part: str
    qty: Decimal = Decimal(1)


@dataclass(frozen=True, slots=True)
class SoldAs:
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
    position: Ref
    stays: bool = False


@dataclass(frozen=True, slots=True)
class ScrewWanted:
    standard: tuple[str, ...]
    thread: str
    property_class: str
    finish: str | None = None


@dataclass(frozen=True, slots=True)
class Stated:
    part: str
    when: Condition = ALWAYS


@dataclass(frozen=True, slots=True)
class Group:
    """Holes that share stack, seat and thread. The joint's `screw`, `into` and
    `threads` defaults have been applied."""

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
    passes: tuple[Pass, ...] = ()
    loosen_order: tuple[int, ...] = ()
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Circle:
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
    code: str
    label: str
    each: str | None = None
    exists: Condition = ALWAYS
    seals: tuple[Ref, ...] = ()
    groups: tuple[Group, ...] = ()
    tighten: Tighten | None = None
    drawing: Drawing | None = None


@dataclass(frozen=True, slots=True)
class GroupRef:
    """`joint.group` or `joint[3].group`, as `loosens` names it."""

    joint: Ref
    group: str


@dataclass(frozen=True, slots=True)
class Use:
    """What a step uses up: sealant, fluid, a washer for the drain plug."""

    part: str
    qty: Decimal = Decimal(1)
    when: Condition = ALWAYS


@dataclass(frozen=True, slots=True)
class Step:
    code: str
    label: str
    each: str | None = None
    exists: Condition = ALWAYS
    frees: tuple[Ref, ...] = ()
    opens: tuple[Ref, ...] = ()
    loosens: tuple[GroupRef, ...] = ()
    needs: tuple[Ref, ...] = ()
    then: tuple[Ref, ...] = ()
    after: tuple[Ref, ...] = ()
    minutes_off: Decimal = Decimal(0)
    minutes_on: Decimal = Decimal(0)
    uses: tuple[Use, ...] = ()
    lift_kg: Decimal | None = None
    tools: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Job:
    code: str
    label: str
    each: str | None = None
    exists: Condition = ALWAYS
    renew: tuple[Ref, ...] = ()
    reseal: tuple[Ref, ...] = ()
    do: tuple[Ref, ...] = ()
    check: tuple[Ref, ...] = ()
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Catalogue:
    """One revision's document; `digest` is the SHA-256 of its canonical form."""

    family: Family
    options: tuple[Option, ...]
    rules: tuple[Rule, ...]
    sections: tuple[Section, ...]
    positions: tuple[Position, ...]
    parts: tuple[Part, ...]
    fitments: tuple[Fitment, ...]
    joints: tuple[Joint, ...]
    steps: tuple[Step, ...]
    jobs: tuple[Job, ...]
    digest: str
    canonical: bytes = field(default=b"", repr=False, compare=False)
    """The canonical form that `digest` is of, RFC 8785 JSON."""
