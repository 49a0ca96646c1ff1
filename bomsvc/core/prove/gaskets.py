"""The forgotten gasket: a part comes out while a joint that clamps it stays closed.

A step that frees a part clamped by a joint (a layer, or the part screwed into) must
open or loosen that joint, or need something that does, by every way of meeting its
needs. So the question is whether the step can be done without the steps that would.

An assembly that comes out whole may keep a joint of its own shut: one whose layers
and part screwed into, as far as they are there in the build, all come with the
freed part (`includes`, however far down) or are the freed part. A joint that clamps
nothing but the freed part is none of its own: it holds it to something else.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple, TypeVar

from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.standing import FALSE, Key, Lit, StandingGroup, StandingJoint
from bomsvc.core.prove.asked import ExactShop
from bomsvc.core.prove.newness import Newness
from bomsvc.core.prove.questions import Question
from bomsvc.core.prove.reach import Reach
from bomsvc.core.prove.subject import Subject, joint_label

T = TypeVar("T")


class Closed(NamedTuple):
    """`lit`: the step takes `position` out while `joint` is still closed."""

    lit: Lit
    position: Key
    joint: StandingJoint


def forgotten_gaskets(subject: Subject, reach: Reach) -> Iterator[Question]:
    """Yield, per step, whether it can leave a joint closed that clamps its part."""
    clamps = _Clamps(subject, Newness(subject, ExactShop(subject.compiled)))
    for key, step in subject.standing.steps.items():
        closed = [
            case
            for position in step.frees
            for joint, group in clamps.of(position)
            for case in _cases(subject, reach, clamps, key, position, joint, group)
            if case.lit != FALSE
        ]
        if closed:
            lit = subject.circuit.any_of(case.lit for case in closed)
            pointer = subject.pointer("steps", step.step.code)
            sentence = _Sentence(subject, key, closed)
            yield Question("forgotten_gasket", key, pointer, (lit,), sentence)


def _cases(
    subject: Subject,
    reach: Reach,
    clamps: _Clamps,
    step: Key,
    position: Key,
    joint: StandingJoint,
    group: StandingGroup,
) -> Iterator[Closed]:
    gates = subject.circuit
    clamped = gates.all_of(
        (
            subject.filled(position),
            group.exists,
            negated(clamps.within(position, joint)),
        )
    )
    openers = frozenset(clamps.openers.get(joint.key, ()))
    looseners = frozenset(clamps.looseners.get((joint.key, group.code), ()))
    enough = clamps.loosening_is_enough(joint, group, position)
    for holds, without in ((negated(enough), openers), (enough, openers | looseners)):
        if FALSE in (holds, clamped):
            continue
        done = reach.possible(step, without=without)
        yield Closed(gates.all_of((clamped, holds, done)), position, joint)


class _Sentence:
    """Names the part and the joint of the build that shows it."""

    def __init__(self, subject: Subject, step: Key, closed: Sequence[Closed]) -> None:
        self._subject = subject
        self._step = step
        self._closed = closed

    def __call__(self, build: Build) -> str:
        case = next(case for case in self._closed if build.truth(case.lit))
        step, part = self._subject.step_label(self._step), case.position
        return (
            f"'{step}' takes out {self._subject.label(part)}, which the joint "
            f"'{joint_label(case.joint)}' clamps, and in this build neither it nor "
            "what it needs opens or loosens that joint: its gaskets and screws would "
            "be forgotten."
        )


class _Clamps:
    """Which groups of which joints clamp a position, and which steps undo them."""

    def __init__(self, subject: Subject, newness: Newness) -> None:
        self._subject = subject
        self._newness = newness
        self._inside: dict[Key, Mapping[Key, Lit]] = {}
        self._by = _inverse(
            ((joint, group), _clamped(group))
            for joint in subject.standing.joints.values()
            for group in joint.groups
        )
        steps = subject.standing.steps.values()
        self.openers = _inverse((step.key, step.opens) for step in steps)
        self.looseners = _inverse((step.key, step.loosens) for step in steps)

    def of(self, position: Key) -> Sequence[tuple[StandingJoint, StandingGroup]]:
        """Return the groups that clamp the position."""
        return self._by.get(position, ())

    def within(self, position: Key, joint: StandingJoint) -> Lit:
        """Return when all that the joint clamps comes with the position's part."""
        inside = self._inside.get(position)
        if inside is None:
            inside = self._inside[position] = self._newness.inside(position)
        gates = self._subject.circuit
        others = [
            (gates.all_of((group.exists, self._subject.filled(key))), key)
            for group in joint.groups
            for key in _clamped(group)
            if key != position
        ]
        along = [gates.all_of((there, inside.get(key, FALSE))) for there, key in others]
        if all(lit == FALSE for lit in along):
            return FALSE
        everything = (
            gates.implied(there, inside.get(key, FALSE)) for there, key in others
        )
        return gates.all_of((gates.any_of(along), *everything))

    def loosening_is_enough(
        self, joint: StandingJoint, group: StandingGroup, position: Key
    ) -> Lit:
        """Return when taking the screws out is enough to free the position.

        It is for a layer on the head side of the outermost seal that stays.
        """
        layers = [layer.position for layer in group.layers]
        if position not in layers:
            return FALSE
        nearer = layers[: layers.index(position) + 1]
        seals = [key for key in dict.fromkeys(nearer) if key in joint.seals]
        gates = self._subject.circuit
        return gates.all_of(negated(self._subject.filled(key)) for key in seals)


def _clamped(group: StandingGroup) -> tuple[Key, ...]:
    keys = [layer.position for layer in group.layers]
    if group.into is not None:
        keys.append(group.into)
    return tuple(dict.fromkeys(keys))


def _inverse(pairs: Iterable[tuple[T, Sequence[object]]]) -> dict[object, list[T]]:
    """Turn (owner, targets) round: target -> owners, in the order given."""
    found: dict[object, list[T]] = defaultdict(list)
    for owner, targets in pairs:
        for target in targets:
            found[target].append(owner)
    return found
