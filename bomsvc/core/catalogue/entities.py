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
from bomsvc.core.catalogue.joint_entities import (
    Circle,
    Drawing,
    Group,
    HolePlace,
    Into,
    Joint,
    Layer,
    Pass,
    ScrewWanted,
    Stated,
    StudUse,
    Tighten,
)
from bomsvc.core.catalogue.part_entities import (
    Content,
    Hole,
    Kind,
    NutData,
    Pad,
    Part,
    ReuseLimit,
    ScrewData,
    SoldAs,
    StudData,
    Unit,
)
from bomsvc.core.catalogue.references import GroupRef, Material, Ref, ThreadState

__all__ = [
    "Catalogue",
    "Choice",
    "Circle",
    "Content",
    "Drawing",
    "Family",
    "Fitment",
    "Group",
    "GroupRef",
    "Hole",
    "HolePlace",
    "Into",
    "Job",
    "Joint",
    "Kind",
    "Layer",
    "Material",
    "NutData",
    "Option",
    "Pad",
    "Part",
    "Pass",
    "Position",
    "Prefix",
    "Ref",
    "ReuseLimit",
    "Rule",
    "ScrewData",
    "ScrewWanted",
    "Section",
    "SoldAs",
    "Stated",
    "Step",
    "StudData",
    "StudUse",
    "ThreadState",
    "Tighten",
    "Under",
    "Unit",
    "Use",
]


@dataclass(frozen=True, slots=True)
class Prefix:
    """A serial prefix, and the choice that a serial typed with it answers."""

    text: str
    option: str
    choice: str


@dataclass(frozen=True, slots=True)
class Family:
    """The family of engines; `series` says how many members each series has."""

    code: str
    name: str
    maker: str | None = None
    note: str | None = None
    series: Mapping[str, int] = field(default_factory=dict)
    prefixes: tuple[Prefix, ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """One choice of an option; `band_mm` is the measure that means it, from and to."""

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
    """A node of the option tree."""

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
    """Every build in which `when` holds has `then`."""

    code: str
    then: Condition
    because: str
    when: Condition = ALWAYS
    each: str | None = None
    strength: Literal["factory", "physical"] = "factory"


@dataclass(frozen=True, slots=True)
class Section:
    """Where on the engine, for browsing; `under` is the section above."""

    code: str
    label: str
    under: str | None = None


@dataclass(frozen=True, slots=True)
class Position:
    """A slot that holds parts; `fill` says how many fitments of rank 1 apply."""

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
class Use:
    """What a step uses up: sealant, fluid, a washer for the drain plug."""

    part: str
    qty: Decimal = Decimal(1)
    when: Condition = ALWAYS


@dataclass(frozen=True, slots=True)
class Step:
    """Strip-down or refit work. `lift_kg` is what is lifted."""

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
    """What a clerk picks from the menu."""

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
