"""One case of a job: the steps it can reach and what each of them asks for.

A *case* is one truth of the literals the work depends on. `survey` walks from the
jobs over every way in to every step that may be done and writes down, per step,
its requirements: lists of steps of which at least one is done (before it, for
`needs`; at any time, for `owed`). The same walk with truths left open visits all
that any case can visit; the literals it asks about are those the plan depends on.

How the document is read where it leaves room:

* A needed position that does not exist or is empty in this build is met, and so
  is a needed or owed step that does not exist.
* A step does not meet its own needs: what has to be off first is taken off by
  another.
* A single-use part clamped in an opened joint (a layer) is renewed; if steps of
  this build free it by name, one of them is done, else opening has freed it.
* What comes with a renewed part (`includes`) is renewed with it without a step of
  its own; its `renew_with` counts.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from bomsvc.core.logic.standing import (
    FALSE,
    TRUE,
    Key,
    Lit,
    StandingGroup,
    StandingJoint,
    StandingStep,
)
from bomsvc.core.work.shop import Shop, Traits, hardware_of
from bomsvc.core.work.values import PositionFreed, RenewReason, StepReason

Settled = Callable[[Lit], bool | None]


@dataclass(frozen=True, slots=True)
class Requirement:
    """At least one of `ways` (step keys) is done, for the reason given."""

    reason: StepReason
    ways: tuple[Key, ...]


@dataclass(frozen=True, slots=True)
class CaseStep:
    """A step in this case: what it disturbs and what it asks for.

    `renews`: positions renewed because this step is done, with the reason.
    """

    standing: StandingStep
    freed: tuple[PositionFreed, ...]
    opens: tuple[Key, ...]
    loosens: tuple[tuple[Key, str], ...]
    renews: tuple[tuple[Key, RenewReason], ...]
    needs: tuple[Requirement, ...]
    owed: tuple[Requirement, ...]

    def requirements(self) -> tuple[Requirement, ...]:
        """Return needs, then what is owed."""
        return self.needs + self.owed


@dataclass(frozen=True, slots=True)
class Case:
    """The jobs' requirements and every step they can lead to.

    `renews`: positions the jobs renew, in job order, with the reason; `checks`:
    (position, job); `pins_absent`: pinned steps that do not exist.
    """

    roots: tuple[Requirement, ...]
    steps: dict[Key, CaseStep]
    renews: tuple[tuple[Key, RenewReason], ...]
    checks: tuple[tuple[Key, Key], ...]
    pins_absent: tuple[Key, ...]


class Survey:
    """Walks a shop's catalogue under settled or open literals."""

    def __init__(self, shop: Shop, settled: Settled) -> None:
        self.shop = shop
        self._settled = settled
        self._open: dict[Lit, None] = {}
        self._filled: dict[Key, bool] = {}
        self._traits: dict[Key, Traits] = {}
        self._ways: dict[Key, tuple[Key, ...]] = {}

    @property
    def open_literals(self) -> tuple[Lit, ...]:
        """Literals met whose truth is not settled, in the order met."""
        return tuple(self._open)

    def may(self, lit: Lit) -> bool:
        """Whether the literal can hold; notes it when that is open."""
        if lit in (TRUE, FALSE):
            return lit == TRUE
        verdict = self._settled(lit)
        if verdict is None:
            self._open[lit] = None
            return True
        return verdict

    def _may_any(self, lits: Iterable[Lit]) -> bool:
        """Whether one can hold; asks every one, so that none goes unnoted."""
        return True in [self.may(lit) for lit in lits]

    def case(self, jobs: Sequence[Key], pins: Sequence[Key]) -> Case:
        """Return the case of these jobs; unknown keys are a caller's bug."""
        roots: list[Requirement] = []
        renews: list[tuple[Key, RenewReason]] = []
        checks: list[tuple[Key, Key]] = []
        absent = [pin for pin in pins if not self._step_exists(pin)]
        roots += (
            Requirement(StepReason("pinned", pin, pin), (pin,))
            for pin in pins
            if pin not in absent
        )
        for key in jobs:
            job = self.shop.standing.jobs[key]
            if not self.may(job.exists):
                continue
            roots += self._done_for(key)
            renewed = [p for p in job.renew if self.filled(p)]
            renews += ((p, RenewReason("job", key)) for p in renewed)
            roots += self._renewal(renewed, key)
            checks += ((p, key) for p in job.check if self.filled(p))
        steps = self._reach(roots)
        return Case(tuple(roots), steps, tuple(renews), tuple(checks), tuple(absent))

    def filled(self, position: Key) -> bool:
        """Whether something sits in the position."""
        found = self._filled.get(position)
        if found is None:
            occupants = self.shop.occupants(position)
            found = self._may_any(occupants.filled)
            self._filled[position] = found
        return found

    def traits(self, position: Key) -> Traits:
        """Traits of all that sits (or may sit) in the position together."""
        found = self._traits.get(position)
        if found is None:
            found = self._traits[position] = self._gathered(position)
        return found

    def is_seal(self, position: Key) -> bool:
        """Whether what sits there is renewed once freed, because it seals."""
        joints = self.shop.sealed_by.get(position, ())
        return self._may_any(self.shop.standing.joints[j].exists for j in joints)

    def ways_to_free(self, position: Key) -> tuple[Key, ...]:
        """Steps of this case that free the position."""
        found = self._ways.get(position)
        if found is None:
            steps = dict.fromkeys(
                way.step
                for way in self.shop.ways_to_free(position)
                if self._step_exists(way.step) and self.may(way.given)
            )
            found = self._ways[position] = tuple(steps)
        return found

    def renewed_with(self, position: Key) -> Iterator[tuple[Key, Key]]:
        """Yield (position, because of position), transitively, each once."""
        for found, because, included in self._new_parts(position):
            if not included:
                yield found, because

    def included_with(self, position: Key) -> Iterator[tuple[Key, Key]]:
        """Yield (position, comes with the part in), transitively, each once."""
        for found, because, included in self._new_parts(position):
            if included:
                yield found, because

    def _new_parts(self, position: Key) -> Iterator[tuple[Key, Key, bool]]:
        seen = {(position, False)}
        queue = deque([position])
        while queue:
            here = queue.popleft()
            traits = self.traits(here)
            followers = [(k, False) for k in traits.renew_with]
            followers += [(k, True) for k in traits.includes]
            for key, included in followers:
                if (key, included) in seen or not self.filled(key):
                    continue
                seen.add((key, included))
                yield key, here, included
                queue.append(key)

    def _gathered(self, position: Key) -> Traits:
        occupants = self.shop.occupants(position)
        others = [(lit, t) for lit, t in occupants.others if self.may(lit)]
        certain = [t for lit, t in others if self._settled_true(lit)]
        gathered = [t for _, t in others] + ([] if certain else [occupants.usual])
        if len(gathered) == 1:
            return gathered[0]
        return Traits(
            single=any(t.single for t in gathered),
            keeps_something=any(t.keeps_something for t in gathered),
            renew_with=_once(k for t in gathered for k in t.renew_with),
            includes=_once(k for t in gathered for k in t.includes),
        )

    def _settled_true(self, lit: Lit) -> bool:
        return lit == TRUE or (lit != FALSE and self._settled(lit) is True)

    def _step_exists(self, step: Key) -> bool:
        return self.may(self.shop.standing.steps[step].exists)

    def _done_for(self, key: Key) -> Iterator[Requirement]:
        """Yield a job's steps to do and joints to reseal, where they exist."""
        job = self.shop.standing.jobs[key]
        for step in job.do:
            if self._step_exists(step):
                yield Requirement(StepReason("do", key, step), (step,))
        for joint in job.reseal:
            if self.may(self.shop.standing.joints[joint].exists):
                openers = self.shop.openers.get(joint, ())
                ways = tuple(s for s in openers if self._step_exists(s))
                yield Requirement(StepReason("reseal", key, joint), ways)

    def _renewal(self, renewed: Iterable[Key], job: Key) -> Iterator[Requirement]:
        """Yield that what a job renews, and what goes with it, is freed."""
        for position in renewed:
            ways = self.ways_to_free(position)
            yield Requirement(StepReason("renew", job, position), ways)
            yield from self._carried(position)

    def _carried(self, position: Key) -> Iterator[Requirement]:
        """Yield that what is renewed with a renewed position is freed."""
        for found, because in self.renewed_with(position):
            reason = StepReason("renew_with", because, found)
            yield Requirement(reason, self.ways_to_free(found))

    def _reach(self, roots: Iterable[Requirement]) -> dict[Key, CaseStep]:
        steps: dict[Key, CaseStep] = {}
        queue = deque(way for root in roots for way in root.ways)
        while queue:
            key = queue.popleft()
            if key in steps:
                continue
            steps[key] = step = self._step(self.shop.standing.steps[key])
            queue.extend(w for r in step.requirements() for w in r.ways)
        return steps

    def _step(self, step: StandingStep) -> CaseStep:
        joints = [self.shop.standing.joints[key] for key in step.opens]
        opened = [joint for joint in joints if self.may(joint.exists)]
        loosened = [
            (joint, group)
            for joint, group in map(self._group, step.loosens)
            if self.may(group.exists)
        ]
        freed = tuple(self._freed(step, opened, loosened))
        renews = tuple(self._renews(step, freed, opened))
        return CaseStep(
            standing=step,
            freed=freed,
            opens=tuple(joint.key for joint in opened),
            loosens=tuple((joint.key, group.code) for joint, group in loosened),
            renews=renews,
            needs=tuple(self._needs(step)),
            owed=tuple(self._owed(step, renews)),
        )

    def _group(self, ref: tuple[Key, str]) -> tuple[StandingJoint, StandingGroup]:
        joint = self.shop.standing.joints[ref[0]]
        return joint, next(g for g in joint.groups if g.code == ref[1])

    def _freed(
        self,
        step: StandingStep,
        opened: Iterable[StandingJoint],
        loosened: Iterable[tuple[StandingJoint, StandingGroup]],
    ) -> Iterator[PositionFreed]:
        """Yield what comes off, each position once: by name before by joint."""
        found: dict[Key, PositionFreed] = {}
        for position in step.frees:
            found[position] = PositionFreed(position, step.key, "step", None)
        for joint in opened:
            for position in self._freed_by_opening(joint):
                freed = PositionFreed(position, step.key, "joint", joint.key)
                found.setdefault(position, freed)
        for joint, group in loosened:
            for position, loose in hardware_of(group, joint.seals):
                if loose:
                    freed = PositionFreed(position, step.key, "group", joint.key)
                    found.setdefault(position, freed)
        yield from (freed for key, freed in found.items() if self.filled(key))

    def _freed_by_opening(self, joint: StandingJoint) -> Iterator[Key]:
        yield from joint.seals
        for group in joint.groups:
            if self.may(group.exists):
                yield from (position for position, _ in hardware_of(group, joint.seals))

    def _renews(
        self,
        step: StandingStep,
        freed: Iterable[PositionFreed],
        opened: Iterable[StandingJoint],
    ) -> Iterator[tuple[Key, RenewReason]]:
        """Yield what is renewed because the step is done, with direct reasons."""
        for joint in opened:
            for position in joint.seals:
                if self.filled(position):
                    yield position, RenewReason("joint_opened", joint.key)
            for position in self._clamped_singles(joint):
                yield position, RenewReason("single_joint", joint.key)
        for each in freed:
            if self.is_seal(each.position):
                yield each.position, RenewReason("seal_freed", step.key)
            if self.traits(each.position).single:
                yield each.position, RenewReason("single_freed", step.key)

    def _clamped_singles(self, joint: StandingJoint) -> Iterator[Key]:
        """Yield single-use layers of an opened joint, each once."""
        groups = [group for group in joint.groups if self.may(group.exists)]
        layers = _once(layer.position for g in groups for layer in g.layers)
        for position in layers:
            if self.filled(position) and self.traits(position).single:
                yield position

    def _needs(self, step: StandingStep) -> Iterator[Requirement]:
        for item in step.needs:
            reason = StepReason("need", step.key, item)
            if item in self.shop.standing.steps:
                if self._step_exists(item):
                    yield Requirement(reason, _without((item,), step.key))
            elif self.filled(item):
                ways = _without(self.ways_to_free(item), step.key)
                yield Requirement(reason, ways)

    def _owed(
        self, step: StandingStep, renews: Iterable[tuple[Key, RenewReason]]
    ) -> Iterator[Requirement]:
        for item in step.then:
            if self._step_exists(item):
                yield Requirement(StepReason("then", step.key, item), (item,))
        for position in _once(key for key, _ in renews):
            yield from self._freeing_singles(step, position)
            yield from self._carried(position)

    def _freeing_singles(
        self, step: StandingStep, position: Key
    ) -> Iterator[Requirement]:
        ways = self.ways_to_free(position)
        if ways and step.key not in ways:
            yield Requirement(StepReason("renew_with", position, position), ways)


def _once(keys: Iterable[Key]) -> tuple[Key, ...]:
    return tuple(dict.fromkeys(keys))


def _without(ways: tuple[Key, ...], key: Key) -> tuple[Key, ...]:
    return tuple(way for way in ways if way != key)
