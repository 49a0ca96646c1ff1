"""Where two revisions differ, as conditions on builds valid in both."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from bomsvc.core.catalogue.conditions import ALWAYS
from bomsvc.core.catalogue.entities import Group, Job, Joint, Part, Step
from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.standing import (
    FALSE,
    Key,
    Lit,
    StandingGroup,
    StandingJob,
    StandingPosition,
    StandingStep,
)
from bomsvc.core.prove.joined import Joined, Side
from bomsvc.core.work.shop import shop_of
from bomsvc.core.work.survey import Survey
from bomsvc.core.work.walk import case_of

Kind = Literal["position", "joint", "job"]


@dataclass(frozen=True, slots=True)
class Difference:
    """`lit`: the builds in which the outcome at the place differs."""

    kind: Kind
    at: Key
    label: str
    lit: Lit


def differences(joined: Joined) -> Iterator[Difference]:
    """Yield every place whose outcome may differ in some build."""
    compare = _Compare(joined)
    yield from compare.named("position", compare.positions)
    yield from compare.named("joint", compare.joints)
    yield from compare.named("job", compare.jobs)


class _Compare:
    """Compares place by place; what is not there is compared with nothing."""

    def __init__(self, joined: Joined) -> None:
        self._gates = joined.gates
        self._sides = (joined.before, joined.after)
        self._parts = tuple(
            {part.number: part for part in side.compiled.catalogue.parts}
            for side in self._sides
        )
        self._known: dict[tuple[str, Key], Lit] = {}

    def named(self, kind: Kind, keys: Callable[[], Mapping[Key, str]]
              ) -> Iterator[Difference]:  # fmt: skip
        """Yield the differences of one kind, in document order."""
        for key, label in keys().items():
            lit = self._of(kind, key)
            if lit != FALSE:
                yield Difference(kind, key, label, lit)

    def positions(self) -> Mapping[Key, str]:
        """Return the positions of both revisions with their labels."""
        return _labels(
            (k, p.position.label) for s in self._sides for k, p in _positions(s).items()
        )

    def joints(self) -> Mapping[Key, str]:
        """Return the joints of both revisions with their labels."""
        return _labels(
            (k, j.joint.label)
            for s in self._sides
            for k, j in s.compiled.standing.joints.items()
        )

    def jobs(self) -> Mapping[Key, str]:
        """Return the jobs of both revisions with their labels."""
        return _labels(
            (k, j.job.label)
            for s in self._sides
            for k, j in s.compiled.standing.jobs.items()
        )

    def _of(self, kind: str, key: Key) -> Lit:
        found = self._known.get((kind, key))
        if found is None:
            made = {
                "position": self._position,
                "joint": self._joint,
                "step": self._step,
                "job": self._job,
            }
            found = self._known[kind, key] = made[kind](key)
        return found

    def _unlike(self, one: Lit, other: Lit) -> Lit:
        gates = self._gates
        if one == other:
            return FALSE
        return gates.any_of(
            (
                gates.all_of((one, negated(other))),
                gates.all_of((negated(one), other)),
            )
        )

    def _any_unlike(
        self, one: Mapping[object, Lit], other: Mapping[object, Lit]
    ) -> Lit:
        """Return when some thing is there in one revision and not in the other."""
        things = dict.fromkeys((*one, *other))
        return self._gates.any_of(
            self._unlike(one.get(thing, FALSE), other.get(thing, FALSE))
            for thing in things
        )

    # Positions: which parts sit there, how many.

    def _position(self, key: Key) -> Lit:
        one, other = (self._sitting(side, key) for side in self._sides)
        return self._any_unlike(one, other)

    def _sitting(self, side: Side, key: Key) -> dict[object, Lit]:
        standing = _positions(side).get(key)
        found: dict[object, list[Lit]] = {}
        for fitment in standing.fitments if standing else ():
            source = fitment.fitment
            thing = (source.part, source.qty, source.rank)
            found.setdefault(thing, []).append(side.lit(fitment.applies))
        return {thing: self._gates.any_of(lits) for thing, lits in found.items()}

    # Joints: what is clamped, in which holes, how it is screwed and tightened.

    def _joint(self, key: Key) -> Lit:
        one, other = (self._clamped(i, key) for i in (0, 1))
        return self._any_unlike(one, other)

    def _clamped(self, index: int, key: Key) -> dict[object, Lit]:
        side = self._sides[index]
        joint = side.compiled.standing.joints.get(key)
        if joint is None:
            return {}
        exists = side.lit(joint.exists)
        things: dict[object, Lit] = {_bare_joint(joint.joint): exists}
        for seal in joint.seals:
            things["seal", seal] = exists
        for group in joint.groups:
            there = side.lit(group.exists)
            things["group", _bare_group(group.group)] = there
            for stated in group.stated:
                thing = ("stated", group.code, self._data(index, stated.part))
                things[thing] = side.lit(stated.applies)
            for place in _places(group):
                self._add_sitting(index, group, place, there, things)
        return things

    def _add_sitting(
        self,
        index: int,
        group: StandingGroup,
        place: Key,
        there: Lit,
        things: dict[object, Lit],
    ) -> None:
        side, gates = self._sides[index], self._gates
        for fitment in _positions(side)[place].fitments:
            if fitment.fitment.rank == 1:
                data = self._data(index, fitment.fitment.part)
                thing = ("part", group.code, place, data, fitment.fitment.qty)
                lit = gates.all_of((there, side.lit(fitment.applies)))
                things[thing] = gates.any_of((things.get(thing, FALSE), lit))

    def _data(self, index: int, number: str) -> object:
        """Return what a joint's screws depend on of a part."""
        part: Part = self._parts[index][number]
        pads, holes = tuple(part.pads.items()), tuple(part.holes.items())
        return number, pads, holes, part.screw, part.nut, part.stud

    # Jobs: all that their plans can touch.

    def _job(self, key: Key) -> Lit:
        gates = self._gates
        jobs = [side.compiled.standing.jobs.get(key) for side in self._sides]
        exists = [
            side.lit(job.exists) if job else FALSE
            for side, job in zip(self._sides, jobs, strict=True)
        ]
        unlike = self._unlike(*exists)
        if jobs[0] is None or jobs[1] is None:
            return unlike
        changed = [exists[0]] if _job_data(jobs[0]) != _job_data(jobs[1]) else []
        touched: dict[tuple[str, Key], None] = {}
        for side in self._sides:
            touched.update(dict.fromkeys(_touched(side, key)))
        inner = gates.any_of([*changed, *(self._of(kind, at) for kind, at in touched)])
        return gates.any_of((unlike, gates.all_of((exists[0], inner))))

    def _step(self, key: Key) -> Lit:
        one, other = (self._done(side, key) for side in self._sides)
        return self._any_unlike(one, other)

    def _done(self, side: Side, key: Key) -> dict[object, Lit]:
        step = side.compiled.standing.steps.get(key)
        if step is None:
            return {}
        things: dict[object, Lit] = {_step_data(step): side.lit(step.exists)}
        for use in step.uses:
            things["use", use.use.part, use.use.qty] = side.lit(use.applies)
        return things


def _positions(side: Side) -> Mapping[Key, StandingPosition]:
    return side.compiled.standing.positions


def _labels(pairs: Iterable[tuple[Key, str]]) -> Mapping[Key, str]:
    return dict(pairs)


def _places(group: StandingGroup) -> tuple[Key, ...]:
    keys = [layer.position for layer in group.layers]
    keys += [k for k in (group.into, group.nut, group.stud) if k is not None]
    return tuple(dict.fromkeys(keys))


def _bare_joint(joint: Joint) -> object:
    """Return the joint without its conditions, groups and words."""
    return replace(joint, label="", exists=ALWAYS, groups=(), seals=())


def _bare_group(group: Group) -> object:
    return replace(group, label=None, exists=ALWAYS, stated=())


def _job_data(job: StandingJob) -> object:
    source: Job = job.job
    return (
        job.renew,
        job.reseal,
        job.do,
        job.check,
        replace(source, label="", exists=ALWAYS, note=None),
    )


def _step_data(step: StandingStep) -> object:
    source: Step = replace(step.step, label="", exists=ALWAYS, uses=())
    return source, step.frees, step.opens, step.loosens, step.needs, step.then


def _touched(side: Side, job: Key) -> Iterator[tuple[str, Key]]:
    """Yield what the job's plan can touch in any build."""
    survey = Survey(shop_of(side.compiled), lambda _: None)
    case = case_of(survey, [job], [])
    renewed = [position for position, _ in case.renews]
    renewed += [position for position, _ in case.checks]
    for key, step in case.steps.items():
        yield "step", key
        yield from (("joint", joint) for joint in step.opens)
        yield from (("joint", joint) for joint, _ in step.loosens)
        renewed += [freed.position for freed in step.freed]
        renewed += [position for position, _ in step.renews]
    for position in dict.fromkeys(renewed):
        yield "position", position
        for other, _ in (
            *survey.renewed_with(position),
            *survey.included_with(position),
        ):
            yield "position", other
