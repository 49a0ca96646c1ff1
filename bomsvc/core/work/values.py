"""What a planned job disturbs, as values.

A `Plan` is the answer for one case (one truth of every literal the work depends
on); a `Stuck` says why no plan exists, as data. Keys are the standing
catalogue's: `pan`, `main_upper[4]`. Minutes and kilograms are exact `Decimal`.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from bomsvc.core.logic.standing import Key, StandingUse

Phase = Literal["strip", "refit"]
StepCause = Literal[
    "do", "pinned", "renew", "reseal", "need", "then", "renew_with", "single_use"
]
RenewCause = Literal[
    "job", "joint_opened", "seal_freed", "renew_with", "single_freed", "single_joint"
]
FreedHow = Literal["step", "joint", "group"]
StuckCode = Literal["position_stuck", "joint_never_opened", "needs_cycle"]

ONLY_SINGLES: frozenset[RenewCause] = frozenset({"single_freed", "single_joint"})
"""Causes for which the single-use parts alone of a position are renewed."""
LIFT_LIMIT_KG = Decimal(25)  # common practice, no source


@dataclass(frozen=True, slots=True)
class WorkSettings:
    """What a shop may set.

    Attributes:
        lift_limit_kg: A step that lifts more carries a lifting caution.
        search_budget: Steps that the planner's own search looks at, per independent
            part of the problem, before it hands over to the integer programme.
        programme_steps: Steps of a part up to which the integer programme is tried;
            a larger part that the search does not settle keeps its bound.
        programme_nodes: Nodes of one integer programme before it gives up.
    """

    lift_limit_kg: Decimal = LIFT_LIMIT_KG
    search_budget: int = 40_000
    programme_steps: int = 250
    programme_nodes: int = 300


@dataclass(frozen=True, slots=True)
class StepReason:
    """Why a step is done.

    Attributes:
        cause: `do` a job says so; `pinned` the person chose this way in; `renew`
            the job `by` renews position `item`; `reseal` the job `by` reseals
            joint `item`; `need` the step `by` needs `item` off or done first;
            `then` the step `by` owes it; `renew_with` position `item` is renewed
            with what sits in position `by`; `single_use` the step `by` opens a
            joint that clamps the single-use part in position `item`.
        by: The job, step or position that asks for it.
        item: What it is done for; the step itself for `do`, `pinned`, `then`.
    """

    cause: StepCause
    by: Key
    item: Key


@dataclass(frozen=True, slots=True)
class StepDone:
    """One entry of the work order; a step with both kinds of work has two.

    Attributes:
        order: From 1, strip-down first, then refit, one numbering.
        minutes: `minutes_off` in strip-down, `minutes_on` in refit.
        lift_kg: As the step states it.
        opens: Joints of this build that the step opens (strip-down entry only).
        loosens: (joint, group) whose screws come out (strip-down entry only).
        needed_by: Same as `why.by`.
        waits_for: Steps whose entries of the same phase come before this one for a
            reason; beside these the order is the document's.
    """

    key: Key
    phase: Phase
    order: int
    minutes: Decimal
    lift_kg: Decimal | None
    opens: tuple[Key, ...]
    loosens: tuple[tuple[Key, str], ...]
    needed_by: Key
    why: StepReason
    waits_for: tuple[Key, ...] = ()


@dataclass(frozen=True, slots=True)
class JointOpened:
    """`by`: the first step of the strip-down that opens it."""

    joint: Key
    by: Key


@dataclass(frozen=True, slots=True)
class GroupLoosened:
    """Screws out, seals stay: the joint itself is not opened by this plan."""

    joint: Key
    group: str
    by: Key


@dataclass(frozen=True, slots=True)
class PositionFreed:
    """`how`: named by the step, or as a seal or hardware of a joint or group.

    `through` is that joint's key (with `how` "joint" or "group"), else None.
    """

    position: Key
    by: Key
    how: FreedHow
    through: Key | None


@dataclass(frozen=True, slots=True)
class RenewReason:
    """Why a position is renewed.

    `by` is the job (`job`), the joint (`joint_opened`, `single_joint`), the step
    (`seal_freed`, `single_freed`) or the position renewed first (`renew_with`).
    """

    cause: RenewCause
    by: Key


@dataclass(frozen=True, slots=True)
class PositionRenewed:
    """`reasons`: every direct reason, most telling first; never empty.

    `single_only`: only its single-use parts are renewed (where several parts
    share the position, the reusable ones stay).
    """

    position: Key
    reasons: tuple[RenewReason, ...]
    single_only: bool


@dataclass(frozen=True, slots=True)
class PositionIncluded:
    """What sits in `position` comes with the new part in position `by`."""

    position: Key
    by: Key


@dataclass(frozen=True, slots=True)
class PositionChecked:
    """A position that the job only checks."""

    position: Key
    job: Key


@dataclass(frozen=True, slots=True)
class UseDue:
    """A use of a done step; whether it applies in a build is `use.applies`."""

    step: Key
    use: StandingUse


@dataclass(frozen=True, slots=True)
class Lifting:
    """A step that lifts more than the limit, or an unknown mass.

    Attributes:
        mass_kg: The mass; where several parts may sit there, the most it can
            be. None: not known, so the caution always stands.
        stated: The step states it (`lift_kg`); else it is the sum of what leaves.
    """

    step: Key
    mass_kg: Decimal | None
    stated: bool


@dataclass(frozen=True, slots=True)
class OtherWay:
    """The cheapest plan that leaves out at least one chosen step.

    Pinned steps do not bind it, so it may take less than the plan. `steps` in the
    order they would be worked, strip-down first; `instead_of`: chosen steps that it
    leaves out, likewise; `optimal` False: a cheaper other way was not ruled out
    within the budget.
    """

    steps: tuple[Key, ...]
    minutes: Decimal
    instead_of: tuple[Key, ...]
    optimal: bool


@dataclass(frozen=True, slots=True)
class Plan:
    """The least-minutes closed set of steps for one case, and what it disturbs.

    Attributes:
        done: The steps, each once, in code order.
        steps: The work order: strip-down, then refit.
        opened, loosened, freed: In strip-down order.
        renewed: In document order of the positions.
        included: Positions whose part comes with another renewed part.
        checked: Positions to check that are not renewed anyway.
        minutes: Off and on, each done step once.
        optimal: Proven least; else `bound` is what is proven.
        bound: No plan takes fewer minutes than this.
        pins_absent: Pinned steps that do not exist in this build.
    """

    done: tuple[Key, ...]
    steps: tuple[StepDone, ...]
    opened: tuple[JointOpened, ...]
    loosened: tuple[GroupLoosened, ...]
    freed: tuple[PositionFreed, ...]
    renewed: tuple[PositionRenewed, ...]
    included: tuple[PositionIncluded, ...]
    checked: tuple[PositionChecked, ...]
    uses: tuple[UseDue, ...]
    tools: tuple[str, ...]
    cautions: tuple[str, ...]
    lifting: tuple[Lifting, ...]
    minutes: Decimal
    optimal: bool
    bound: Decimal
    other_way: OtherWay | None
    pins_absent: tuple[Key, ...] = ()


@dataclass(frozen=True, slots=True)
class StuckReason:
    """What stands in the way.

    Attributes:
        code: `position_stuck` no step of this build frees `items[0]`;
            `joint_never_opened` no step of this build opens `items[0]`;
            `needs_cycle` `items` wait on one another, by every way in.
        items: Keys concerned; for a cycle, steps in waiting order.
        wanted_by: The chain from the job down to it: job, steps, ...
    """

    code: StuckCode
    items: tuple[Key, ...]
    wanted_by: tuple[Key, ...]


@dataclass(frozen=True, slots=True)
class Stuck:
    """No set of steps does these jobs in this case; `reasons` never empty."""

    reasons: tuple[StuckReason, ...]
