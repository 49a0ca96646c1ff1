"""From the jobs over every way in to every step that may be done.

How the document is read where it leaves room:

* A needed position that does not exist or is empty in this build is met, and so
  is a needed or owed step that does not exist.
* A step does not meet its own needs: what has to be off first is taken off by
  another.
* A job that does not exist in this build asks for nothing; a pinned step that does
  not exist is noted and asks for nothing.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator

from bomsvc.core.logic.standing import (
    Key,
    StandingGroup,
    StandingJob,
    StandingJoint,
    StandingStep,
)
from bomsvc.core.work.case import Case, CaseStep, Requirement
from bomsvc.core.work.recall import Recall, Truth
from bomsvc.core.work.shop import hardware_of
from bomsvc.core.work.survey import Renewed, Survey, each_renewed_of, once
from bomsvc.core.work.values import PositionFreed, RenewReason, StepReason


def case_of(survey: Survey, jobs: Iterable[Key], pins: Iterable[Key]) -> Case:
    """Return the case of these jobs and pinned steps; unknown keys are a bug."""
    return Walk(survey).case(jobs, pins)


def settled_case_of(
    survey: Survey, truth: Truth, jobs: Iterable[Key], pins: Iterable[Key]
) -> Case:
    """Return the same for a survey that `truth` settles, recalling like steps.

    Many cases of a job differ in a few steps only; the others are those of a case
    seen before.
    """
    return Walk(survey, truth).case(jobs, pins)


class Walk:
    """Writes down what each step asks for, once.

    `truth`: settles every literal; steps of other cases may then be recalled.
    """

    def __init__(self, survey: Survey, truth: Truth | None = None) -> None:
        self._survey = survey
        self._shop = survey.shop
        self._truth = truth

    def case(self, jobs: Iterable[Key], pins: Iterable[Key]) -> Case:
        """Return the case of these jobs."""
        standing = [self._shop.standing.jobs[key] for key in jobs]
        there = [job for job in standing if self._survey.may(job.exists)]
        pinned = [pin for pin in pins if self._survey.step_exists(pin)]
        roots = [
            *(Requirement(StepReason("pinned", pin, pin), (pin,)) for pin in pinned),
            *(requirement for job in there for requirement in self._asked_by(job)),
        ]
        return Case(
            roots=tuple(roots),
            steps=self._reach(roots),
            renews=tuple(
                (position, RenewReason("job", job.key))
                for job in there
                for position in self._filled(job.renew)
            ),
            checks=tuple(
                (p, job.key) for job in there for p in self._filled(job.check)
            ),
            pins_absent=tuple(pin for pin in pins if pin not in pinned),
        )

    def _asked_by(self, job: StandingJob) -> Iterator[Requirement]:
        yield from self._done_for(job)
        yield from self._renewal(job)

    def _filled(self, positions: Iterable[Key]) -> list[Key]:
        return [key for key in positions if self._survey.filled(key)]

    def _done_for(self, job: StandingJob) -> Iterator[Requirement]:
        """Yield a job's steps to do and joints to reseal, where they exist."""
        for step in job.do:
            if self._survey.step_exists(step):
                yield Requirement(StepReason("do", job.key, step), (step,))
        for joint in job.reseal:
            if self._survey.may(self._shop.standing.joints[joint].exists):
                openers = self._shop.openers.get(joint, ())
                ways = tuple(s for s in openers if self._survey.step_exists(s))
                yield Requirement(StepReason("reseal", job.key, joint), ways)

    def _renewal(self, job: StandingJob) -> Iterator[Requirement]:
        """Yield that what a job renews, and what goes with it, is freed."""
        for position in self._filled(job.renew):
            ways = self._survey.ways_to_free(position)
            yield Requirement(StepReason("renew", job.key, position), ways)
            yield from self._carried(position, "all")

    def _carried(self, position: Key, of: Renewed) -> Iterator[Requirement]:
        """Yield that what is renewed with a renewed position is freed."""
        for found, because in self._survey.renewed_with(position, of=of):
            reason = StepReason("renew_with", because, found)
            yield Requirement(reason, self._survey.ways_to_free(found))

    def _reach(self, roots: Iterable[Requirement]) -> dict[Key, CaseStep]:
        steps: dict[Key, CaseStep] = {}
        queue = deque(way for root in roots for way in root.ways)
        while queue:
            key = queue.popleft()
            if key in steps:
                continue
            steps[key] = step = self._recalled(self._shop.standing.steps[key])
            queue.extend(w for r in step.requirements() for w in r.ways)
        return steps

    def _recalled(self, step: StandingStep) -> CaseStep:
        if self._truth is None:
            return self.step(step)
        recall = self._shop.recalled.setdefault(step.key, Recall())
        return recall.get(
            self._truth, lambda truth: Walk(Survey(self._shop, truth)).step(step)
        )

    def step(self, step: StandingStep) -> CaseStep:
        """Return what the step disturbs and asks for in this case."""
        joints = [self._shop.standing.joints[key] for key in step.opens]
        opened = [joint for joint in joints if self._survey.may(joint.exists)]
        loosened = [
            (joint, group)
            for joint, group in map(self._group, step.loosens)
            if self._survey.may(group.exists)
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
        joint = self._shop.standing.joints[ref[0]]
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
            for position in self._clamped_singles(joint):
                if step.key in self._survey.ways_to_free(position):
                    freed = PositionFreed(position, step.key, "joint", joint.key)
                    found.setdefault(position, freed)
        for joint, group in loosened:
            for position, loose in hardware_of(group, joint.seals):
                if loose:
                    freed = PositionFreed(position, step.key, "group", joint.key)
                    found.setdefault(position, freed)
        yield from (freed for key, freed in found.items() if self._survey.filled(key))

    def _freed_by_opening(self, joint: StandingJoint) -> Iterator[Key]:
        yield from joint.seals
        for group in joint.groups:
            if self._survey.may(group.exists):
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
                if self._survey.filled(position):
                    yield position, RenewReason("joint_opened", joint.key)
            for position in self._clamped_singles(joint):
                yield position, RenewReason("single_joint", joint.key)
        for each in freed:
            if self._survey.is_seal(each.position):
                yield each.position, RenewReason("seal_freed", step.key)
            if self._survey.traits(each.position).single:
                yield each.position, RenewReason("single_freed", step.key)

    def _clamped_singles(self, joint: StandingJoint) -> Iterator[Key]:
        """Yield single-use layers of an opened joint, each once."""
        groups = [group for group in joint.groups if self._survey.may(group.exists)]
        layers = once(layer.position for g in groups for layer in g.layers)
        for position in layers:
            if self._survey.filled(position) and self._survey.traits(position).single:
                yield position

    def _needs(self, step: StandingStep) -> Iterator[Requirement]:
        for item in step.needs:
            reason = StepReason("need", step.key, item)
            if item in self._shop.standing.steps:
                if self._survey.step_exists(item):
                    yield Requirement(reason, _without((item,), step.key))
            elif self._survey.filled(item):
                ways = _without(self._survey.ways_to_free(item), step.key)
                yield Requirement(reason, ways)

    def _owed(
        self, step: StandingStep, renews: Iterable[tuple[Key, RenewReason]]
    ) -> Iterator[Requirement]:
        for item in step.then:
            if self._survey.step_exists(item):
                yield Requirement(StepReason("then", step.key, item), (item,))
        reasons: dict[Key, list[RenewReason]] = {}
        for position, reason in renews:
            reasons.setdefault(position, []).append(reason)
        for position, why in reasons.items():
            yield from self._freeing_singles(step, position)
            for of in each_renewed_of(why):
                yield from self._carried(position, of)

    def _freeing_singles(
        self, step: StandingStep, position: Key
    ) -> Iterator[Requirement]:
        """Yield that a renewed position is freed, unless the step surely does it."""
        ways = self._survey.outright_ways(position)
        own = [way for way in ways if way.step == step.key]
        if ways and not any(self._survey.is_true(way.given) for way in own):
            steps = once(way.step for way in ways)
            yield Requirement(StepReason("single_use", step.key, position), steps)


def _without(ways: tuple[Key, ...], key: Key) -> tuple[Key, ...]:
    return tuple(way for way in ways if way != key)
