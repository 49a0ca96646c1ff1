"""Small engines by hand: positions, joints, steps and jobs over free literals.

A `World` is a revision as the planner sees it. Its parts of speech are plain
dictionaries, so that the slow oracle beside it can read them its own way. Literals
are integers from 2 up, negative for their opposites; 1 always holds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from bomsvc.core.catalogue import entities as e
from bomsvc.core.logic.standing import (
    Key,
    Lit,
    Standing,
    StandingFitment,
    StandingGroup,
    StandingJob,
    StandingJoint,
    StandingLayer,
    StandingPosition,
    StandingStep,
    StandingUse,
)

Spec = dict[str, Any]


def split(key: Key) -> tuple[str, int | None]:
    code, _, rest = key.partition("[")
    return code, int(rest[:-1]) if rest else None


@dataclass(eq=False)
class World:
    """`series`: codes that stand once per member 1..members."""

    positions: dict[Key, Spec] = field(default_factory=dict)
    parts: dict[str, Spec] = field(default_factory=dict)
    joints: dict[Key, Spec] = field(default_factory=dict)
    steps: dict[Key, Spec] = field(default_factory=dict)
    jobs: dict[Key, Spec] = field(default_factory=dict)

    def revision(self) -> HandMade:
        return HandMade(self)


class HandMade:
    """A world as a compiled revision."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.standing = _standing(world)
        self.catalogue = e.Catalogue(
            family=e.Family("by_hand", "By hand"),
            options=(),
            rules=(),
            sections=(),
            positions=(),
            parts=tuple(_part(n, s) for n, s in world.parts.items()),
            fitments=(),
            joints=(),
            steps=(),
            jobs=(),
            digest="",
        )

    def keys_from(
        self, ref: e.Ref, member: int | None, each: str | None
    ) -> tuple[Key, ...]:
        return seen_from(self.world, str(ref), member)


def seen_from(world: World, name: str, member: int | None) -> tuple[Key, ...]:
    """Keys that a name means, seen from an owner with that member."""
    if name in world.positions:
        return (name,)
    mine = f"{name}[{member}]"
    if mine in world.positions:
        return (mine,)
    return tuple(key for key in world.positions if split(key)[0] == name)


def _ref(name: str) -> e.Ref:
    return e.Ref(*split(name))


def _part(number: str, spec: Spec) -> e.Part:
    return e.Part(
        number=number,
        name=number,
        kind=spec.get("kind", "component"),
        mass_kg=spec.get("mass", Decimal(0)),
        reuse=spec.get("reuse", "freely"),
        includes=tuple(map(_ref, spec.get("includes", ()))),
        renew_with=tuple(map(_ref, spec.get("renew_with", ()))),
    )


def _standing(world: World) -> Standing:
    steps = {key: _step(key, spec) for key, spec in world.steps.items()}
    return Standing(
        positions={k: _position(k, s) for k, s in world.positions.items()},
        joints={k: _joint(k, s) for k, s in world.joints.items()},
        steps=steps,
        jobs={k: _job(k, s) for k, s in world.jobs.items()},
        freed_by=_inverse({k: s.frees for k, s in steps.items()}),
        opened_by=_inverse({k: s.opens for k, s in steps.items()}),
    )


def _position(key: Key, spec: Spec) -> StandingPosition:
    code, member = split(key)
    exists = Lit(spec.get("exists", 1))
    fitments = tuple(
        StandingFitment(
            index=number,
            fitment=e.Fitment(
                position=_ref(key),
                part=part,
                qty=spec.get("qty", Decimal(1)),
                rank=spec.get("rank", 1),
            ),
            position=key,
            applies=Lit(lit),
        )
        for number, (part, lit) in enumerate(spec.get("fitments", ()))
    )
    position = e.Position(
        code,
        code,
        "engine",
        each="cylinder" if member else None,
        fill=spec.get("fill", "one"),
    )
    return StandingPosition(key, position, member, exists, fitments)


def _joint(key: Key, spec: Spec) -> StandingJoint:
    code, member = split(key)
    exists = spec.get("exists", 1)
    return StandingJoint(
        key=key,
        joint=e.Joint(code, code),
        member=member,
        exists=Lit(exists),
        seals=tuple(spec.get("seals", ())),
        groups=tuple(
            _group(name, group, exists)
            for name, group in spec.get("groups", {}).items()
        ),
    )


def _group(code: str, spec: Spec, joint_exists: int) -> StandingGroup:
    layers = [
        StandingLayer(e.Layer(_ref(position), "rail", per=per), position)
        for position, per in spec.get("layers", ())
    ]
    stud = spec.get("stud")
    use = e.StudUse(_ref(stud), spec.get("stays", False)) if stud else None
    return StandingGroup(
        code=code,
        group=e.Group(code, stud=use),
        exists=Lit(spec.get("exists", joint_exists)),
        layers=tuple(layers),
        into=spec.get("into"),
        nut=spec.get("nut"),
        stud=stud,
        stated=(),
    )


def _step(key: Key, spec: Spec) -> StandingStep:
    code, member = split(key)
    step = e.Step(
        code,
        code,
        minutes_off=Decimal(spec.get("off", 0)),
        minutes_on=Decimal(spec.get("on", 0)),
        lift_kg=spec.get("lift"),
        tools=tuple(spec.get("tools", ())),
        cautions=tuple(spec.get("cautions", ())),
    )
    return StandingStep(
        key=key,
        step=step,
        member=member,
        exists=Lit(spec.get("exists", 1)),
        frees=tuple(spec.get("frees", ())),
        opens=tuple(spec.get("opens", ())),
        loosens=tuple(spec.get("loosens", ())),
        needs=tuple(spec.get("needs", ())),
        then=tuple(spec.get("then", ())),
        after=tuple(spec.get("after", ())),
        uses=tuple(
            StandingUse(e.Use(part), Lit(lit)) for part, lit in spec.get("uses", ())
        ),
    )


def _job(key: Key, spec: Spec) -> StandingJob:
    code, member = split(key)
    return StandingJob(
        key=key,
        job=e.Job(code, code),
        member=member,
        exists=Lit(spec.get("exists", 1)),
        renew=tuple(spec.get("renew", ())),
        reseal=tuple(spec.get("reseal", ())),
        do=tuple(spec.get("do", ())),
        check=tuple(spec.get("check", ())),
    )


def _inverse(targets: dict[Key, tuple[Key, ...]]) -> dict[Key, tuple[Key, ...]]:
    found: dict[Key, list[Key]] = {}
    for owner, keys in targets.items():
        for key in keys:
            found.setdefault(key, []).append(owner)
    return {key: tuple(owners) for key, owners in found.items()}


def truth_of(true: Iterable[int]) -> Callable[[Lit], bool]:
    """Truth of literals where these variables are true and all others false."""
    holding = {1, *true}
    return lambda lit: (lit in holding) if lit > 0 else (-lit not in holding)
