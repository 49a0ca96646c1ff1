"""The list as values: lines, open places, work, joints, faults.

They mirror the reply of `resolve` field by field. Quantities are `Decimal` in the
part's unit. Everything is in a fixed order: places in document order (positions,
then joints' groups, then steps), lines by their first place.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from bomsvc.core.fasteners.sheet import JointSheet
from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.logic.clash import Clash
from bomsvc.core.logic.questions import Question, ToMeasure
from bomsvc.core.logic.standing import Key

Need = Literal["renew", "check"]
State = Literal["certain", "open"]
Basis = Literal["exact", "may_matter"]
PlaceKind = Literal["position", "joint", "step"]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a part is needed: a position, a joint's group, or a step."""

    kind: PlaceKind
    key: Key
    group: str | None = None
    holes: tuple[int, ...] = ()

    def __str__(self) -> str:
        return self.key if self.group is None else f"{self.key}.{self.group}"


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason a line is there; the fields that are None say nothing.

    Attributes:
        position: The position the part sits in, with `when` (the condition that
            puts it there, canonical text) and `given` (the answers it reads).
        joint: The joint that is opened (`opened_by` a step) or whose group is
            loosened (`group`, `loosened_by`); alone: the joint was asked for.
        step: A step that uses the part; `needed_by`: the job or step it is for.
        freed_by: The step that takes the part out.
        job: The job that renews or checks the position.
        renewed_with: The position whose part must be renewed together with it.
        reuse: "single" (never used twice) or "limited".
    """

    position: Key | None = None
    when: str | None = None
    given: tuple[Key, ...] | None = None
    joint: Key | None = None
    group: str | None = None
    opened_by: Key | None = None
    loosened_by: Key | None = None
    step: Key | None = None
    needed_by: Key | None = None
    freed_by: Key | None = None
    job: Key | None = None
    renewed_with: Key | None = None
    reuse: str | None = None


@dataclass(frozen=True, slots=True)
class Limit:
    """Until when a part that comes out may go in again; lengths in mm."""

    max_length_mm: Decimal | None = None
    max_uses: int | None = None
    inspect: str | None = None


@dataclass(frozen=True, slots=True)
class Order:
    """What to order for a line: the number it is sold under, and how many."""

    part: str
    qty: Decimal


@dataclass(frozen=True, slots=True)
class Alternate:
    """A part of rank 2 or more that may be taken instead; never listed by itself."""

    part: str
    name: str
    qty: Decimal
    rank: int
    position: Key
    state: State
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Brought:
    """What comes inside a listed part and is not listed by itself.

    `qty` for the one place the part goes to. `state` open: only in some of the
    remaining builds in which the line stands.
    """

    position: Key
    part: str
    name: str
    qty: Decimal
    state: State


@dataclass(frozen=True, slots=True)
class FigureCase:
    """The figures of one stack, and the condition under which that stack stands."""

    when: str
    figures: SizedGroup


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the list.

    `part` is None where no screw of the catalogue serves: `wanted` then is the
    designation to look for. `screw` of a certain line with several `cases` is the
    tightest of them. `take` is how many to hand over now: `qty`, or 0 for a check.
    `brings`: what comes inside the part, directly or through others.
    """

    part: str | None
    name: str
    unit: str
    qty: Decimal
    take: Decimal
    need: Need
    state: State
    places: tuple[Place, ...]
    why: tuple[Reason, ...] = ()
    order: Order | None = None
    wanted: str | None = None
    decided_by: tuple[Key, ...] = ()
    waits_on: tuple[Key, ...] = ()
    limit: Limit | None = None
    instructions: tuple[str, ...] = ()
    screw: SizedGroup | None = None
    cases: tuple[FigureCase, ...] = ()
    alternates: tuple[Alternate, ...] = ()
    cautions: tuple[str, ...] = ()
    brings: tuple[Brought, ...] = ()


@dataclass(frozen=True, slots=True)
class CandidatePart:
    """A part, or the designation wanted where `part` is None."""

    need: Need
    part: str | None
    qty: Decimal
    wanted: str | None = None


@dataclass(frozen=True, slots=True)
class Candidate:
    """What an open place may turn out to take; no parts: nothing."""

    parts: tuple[CandidatePart, ...]
    screw: SizedGroup | None = None


@dataclass(frozen=True, slots=True)
class OpenPlace:
    """A place that is not settled: what it may take and what decides it.

    `take_all` serves "take all, return the rest": of each part to be renewed the
    largest number that any candidate takes. Candidates stand in the order of the
    document's fitments, screws from short to long, nothing at all last.
    """

    place: Place
    candidates: tuple[Candidate, ...]
    decided_by: tuple[Key, ...]
    waits_on: tuple[Key, ...]
    take_all: tuple[CandidatePart, ...]


@dataclass(frozen=True, slots=True)
class OrderLine:
    """What the certain renew lines come to as orders, each number once."""

    part: str
    qty: Decimal
    contains: tuple[str, ...]
    """The listed parts it is ordered for."""


@dataclass(frozen=True, slots=True)
class WorkStep:
    """A step of the plan as done; `state` open: only in some remaining builds.

    `decided_by`: the options that decide whether an open step is done.
    """

    step: Key
    label: str
    phase: Literal["strip", "refit"]
    order: int
    minutes: Decimal
    lift_kg: Decimal | None
    opens: tuple[Key, ...]
    loosens: tuple[str, ...]
    state: State
    needed_by: tuple[Key, ...] = ()
    decided_by: tuple[Key, ...] = ()


@dataclass(frozen=True, slots=True)
class OtherWay:
    """The best plan that leaves out a step of the chosen one; total minutes.

    `steps` stand in the order they would be worked. Where a way in was pinned it
    may take less. `instead_of`: the chosen steps it leaves out. `optimal` False: a
    cheaper other way was not ruled out within the budget.
    """

    steps: tuple[Key, ...]
    minutes: Decimal
    instead_of: tuple[Key, ...]
    optimal: bool


@dataclass(frozen=True, slots=True)
class Stay:
    """A part that comes out and goes back: its mate, its side, as text.

    `state` open: only in some remaining builds it is this part.
    """

    position: Key
    part: str
    text: str
    state: State


@dataclass(frozen=True, slots=True)
class Work:
    """The work of the jobs: `minutes` is (least, most) over the remaining builds.

    With `basis` `may_matter` there were more cases than the budget. Steps, minutes
    and cautions are then those of a few cases planned for instance: other remaining
    builds may take other steps, and less or more time.
    """

    steps: tuple[WorkStep, ...]
    minutes: tuple[Decimal, Decimal]
    basis: Basis
    optimal: bool
    bound: Decimal | None = None
    other_way: OtherWay | None = None
    tools: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    stays: tuple[Stay, ...] = ()


@dataclass(frozen=True, slots=True)
class GroupForm:
    """One group of a joint: its holes, thread condition and sized screw.

    `part` and `screw` when certain, else `candidates`.
    """

    group: str
    label: str | None
    state: State
    holes: tuple[int, ...]
    threads: str
    part: str | None
    wanted: str | None
    screw: SizedGroup | None
    cases: tuple[FigureCase, ...] = ()
    candidates: tuple[Candidate, ...] = ()


@dataclass(frozen=True, slots=True)
class PassForm:
    """A stated tightening pass; the maker's figure as stated."""

    groups: tuple[str, ...]
    order: tuple[int, ...]
    torque_nm: Decimal | None
    angle_deg: Decimal | None
    loosen_deg: Decimal | None
    stretch_mm: Decimal | None


@dataclass(frozen=True, slots=True)
class JointForm:
    """An opened or asked joint.

    `sheet` where its whole stack is settled, with the drawings of its stacks; `svg`
    is the sheet's screw map.
    """

    joint: Key
    label: str
    state: State
    groups: tuple[GroupForm, ...]
    passes: tuple[PassForm, ...]
    loosen_order: tuple[int, ...]
    note: str | None
    svg: str | None
    cautions: tuple[str, ...] = ()
    sheet: JointSheet | None = None


@dataclass(frozen=True, slots=True)
class Fault:
    """Something the catalogue cannot answer for this list, and where.

    `when`: the condition under which it stands; None: always.
    """

    code: str
    at: str
    detail: str
    when: str | None = None


@dataclass(frozen=True, slots=True)
class Resolved:
    """The list for a scope on what is known.

    Attributes:
        certain: Nothing is open.
        certain_but_measured: Something is open, and only measuring settles it.
        open: The open places.
        questions: What to ask next, best first.
        to_measure: Options to be measured, with their bands.
        work: Steps and minutes where jobs are asked for and a way in exists.
        joints: Opened and asked joints.
        faults: What the catalogue cannot answer.
        warnings: What needs a reason: thin margins, screws hard to start.
        orders: The certain lines as orders, each number once.
        waived: Factory rules waived on this engine: outside the proof.
    """

    certain: bool
    certain_but_measured: bool
    lines: tuple[Line, ...]
    open: tuple[OpenPlace, ...]
    questions: tuple[Question, ...]
    to_measure: tuple[ToMeasure, ...]
    work: Work | None
    joints: tuple[JointForm, ...]
    faults: tuple[Fault, ...]
    warnings: tuple[Fault, ...]
    orders: tuple[OrderLine, ...]
    waived: tuple[Key, ...] = ()


@dataclass(frozen=True, slots=True)
class Clashing:
    """What is known contradicts itself; there is nothing to list."""

    clash: Clash
