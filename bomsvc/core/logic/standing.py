"""The catalogue unrolled over its series, every condition a literal.

`compile_catalogue` (in `compiled`) makes these once per digest. A key is the code
with its member, `main_upper[4]`, or the bare code for an item without `each`.
A `Lit` is a signed DIMACS literal of the compiled model: in a valid build it is
true exactly when the condition holds. `TRUE` is the literal that always holds.
References are resolved to keys: the owner's own member where both share a
series, one member where written, else all members in order.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NewType

from bomsvc.core.catalogue.entities import (
    Fitment,
    Group,
    Job,
    Joint,
    Layer,
    Position,
    Step,
    Use,
)

Lit = NewType("Lit", int)
Key = str
TRUE = Lit(1)
FALSE = Lit(-1)


@dataclass(frozen=True, slots=True)
class StandingFitment:
    """`applies`: the position exists and the fitment's own condition holds."""

    index: int
    fitment: Fitment
    position: Key
    applies: Lit


@dataclass(frozen=True, slots=True)
class StandingPosition:
    """A position of one member, with everything that may sit in it."""

    key: Key
    position: Position
    member: int | None
    exists: Lit
    fitments: tuple[StandingFitment, ...]
    """All ranks, document order."""


@dataclass(frozen=True, slots=True)
class StandingLayer:
    """A clamped layer, its position resolved."""

    layer: Layer
    position: Key


@dataclass(frozen=True, slots=True)
class StandingStated:
    """`applies`: the group exists and the stated screw's condition holds."""

    part: str
    applies: Lit


@dataclass(frozen=True, slots=True)
class StandingGroup:
    """`exists`: the joint exists and so does the group in it."""

    code: str
    group: Group
    exists: Lit
    layers: tuple[StandingLayer, ...]
    into: Key | None
    nut: Key | None
    stud: Key | None
    stated: tuple[StandingStated, ...]


@dataclass(frozen=True, slots=True)
class StandingJoint:
    """A joint of one member, its references resolved."""

    key: Key
    joint: Joint
    member: int | None
    exists: Lit
    seals: tuple[Key, ...]
    groups: tuple[StandingGroup, ...]


@dataclass(frozen=True, slots=True)
class StandingUse:
    """`applies`: the step exists and the use's condition holds."""

    use: Use
    applies: Lit


@dataclass(frozen=True, slots=True)
class StandingStep:
    """Keys of positions, joints and steps; `loosens` pairs (joint key, group code).

    `needs` mixes keys of positions and of steps: they share one namespace.
    """

    key: Key
    step: Step
    member: int | None
    exists: Lit
    frees: tuple[Key, ...]
    opens: tuple[Key, ...]
    loosens: tuple[tuple[Key, str], ...]
    needs: tuple[Key, ...]
    then: tuple[Key, ...]
    after: tuple[Key, ...]
    uses: tuple[StandingUse, ...]


@dataclass(frozen=True, slots=True)
class StandingJob:
    """A job of one member, its references resolved."""

    key: Key
    job: Job
    member: int | None
    exists: Lit
    renew: tuple[Key, ...]
    reseal: tuple[Key, ...]
    do: tuple[Key, ...]
    check: tuple[Key, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """Everything that stands on the engine, by key, in document order.

    Part references (`includes`, `renew_with`) depend on where the part sits: see
    `keys_from`, which resolves a `Ref` seen from an owner with that member.
    """

    positions: Mapping[Key, StandingPosition]
    joints: Mapping[Key, StandingJoint]
    steps: Mapping[Key, StandingStep]
    jobs: Mapping[Key, StandingJob]
    freed_by: Mapping[Key, tuple[Key, ...]]
    """Position key -> keys of the steps that free it, document order."""
    opened_by: Mapping[Key, tuple[Key, ...]]
    """Joint key -> keys of the steps that open it, document order."""
