"""Positions, joints, steps and jobs unrolled over their series, with literals."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping

from bomsvc.core.catalogue.conditions import Condition
from bomsvc.core.catalogue.entities import (
    Catalogue,
    Fitment,
    Group,
    GroupRef,
    Job,
    Joint,
    Position,
    Ref,
    Step,
)
from bomsvc.core.logic.naming import Namespaces, Owner, item_key
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
    StandingStated,
    StandingStep,
    StandingUse,
)

Literal = Callable[[Condition, Owner], Lit]
AllOf = Callable[[Iterable[Lit]], Lit]


class Unroller:
    """Makes everything that stands on the engine from the document's items."""

    def __init__(self, names: Namespaces, literal: Literal, all_of: AllOf) -> None:
        self._names = names
        self._literal = literal
        self._all_of = all_of

    def standing(self, catalogue: Catalogue) -> Standing:
        """Unroll the whole document, in document order."""
        places = self._names.places
        positions = self._positions(catalogue)
        joints = {
            joint.key: joint
            for source in catalogue.joints
            for joint in (
                self._joint(source, owner) for owner in places.owners(source.each)
            )
        }
        steps = {
            step.key: step
            for source in catalogue.steps
            for step in (
                self._step(source, owner) for owner in places.owners(source.each)
            )
        }
        jobs = {
            job.key: job
            for source in catalogue.jobs
            for job in (
                self._job(source, owner) for owner in places.owners(source.each)
            )
        }
        return Standing(
            positions=positions,
            joints=joints,
            steps=steps,
            jobs=jobs,
            freed_by=_reached(positions, steps.values(), lambda s: s.frees),
            opened_by=_reached(joints, steps.values(), lambda s: s.opens),
        )

    def _positions(self, catalogue: Catalogue) -> dict[Key, StandingPosition]:
        seats: dict[Key, list[tuple[int, Fitment]]] = defaultdict(list)
        for index, fitment in enumerate(catalogue.fitments):
            for key in self._names.places.keys(fitment.position):
                seats[key].append((index, fitment))
        return {
            item_key(position.code, owner.member): self._position(
                position, owner, seats[item_key(position.code, owner.member)]
            )
            for position in catalogue.positions
            for owner in self._names.places.owners(position.each)
        }

    def _position(
        self, position: Position, owner: Owner, seats: list[tuple[int, Fitment]]
    ) -> StandingPosition:
        key = item_key(position.code, owner.member)
        exists = self._literal(position.exists, owner)
        fitments = tuple(
            StandingFitment(index, f, key, self._applies(exists, f.when, owner))
            for index, f in seats
        )
        return StandingPosition(key, position, owner.member, exists, fitments)

    def _applies(self, exists: Lit, when: Condition | None, owner: Owner) -> Lit:
        if when is None:
            return exists
        return self._all_of((exists, self._literal(when, owner)))

    def _keys(self, refs: Iterable[Ref], owner: Owner) -> tuple[Key, ...]:
        names = self._names.places
        return tuple(key for ref in refs for key in names.keys(ref, owner))

    def _joint_keys(self, refs: Iterable[Ref], owner: Owner) -> tuple[Key, ...]:
        names = self._names.joints
        return tuple(key for ref in refs for key in names.keys(ref, owner))

    def _one(self, ref: Ref | None, owner: Owner) -> Key | None:
        """Resolve a reference that may name one place only (layers, holes, nuts)."""
        if ref is None:
            return None
        (key,) = self._names.places.keys(ref, owner)
        return key

    def _joint(self, joint: Joint, owner: Owner) -> StandingJoint:
        exists = self._literal(joint.exists, owner)
        return StandingJoint(
            key=item_key(joint.code, owner.member),
            joint=joint,
            member=owner.member,
            exists=exists,
            seals=self._keys(joint.seals, owner),
            groups=tuple(self._group(g, exists, owner) for g in joint.groups),
        )

    def _group(self, group: Group, joint_exists: Lit, owner: Owner) -> StandingGroup:
        exists = self._applies(joint_exists, group.exists, owner)
        layers = (
            StandingLayer(layer, key)
            for layer in group.layers
            for key in self._names.places.keys(layer.position, owner)
        )
        return StandingGroup(
            code=group.code,
            group=group,
            exists=exists,
            layers=tuple(layers),
            into=self._one(group.into.position, owner),
            nut=self._one(group.into.nut, owner),
            stud=self._one(group.stud.position if group.stud else None, owner),
            stated=tuple(
                StandingStated(s.part, self._applies(exists, s.when, owner))
                for s in group.stated
            ),
        )

    def _step(self, step: Step, owner: Owner) -> StandingStep:
        exists = self._literal(step.exists, owner)
        return StandingStep(
            key=item_key(step.code, owner.member),
            step=step,
            member=owner.member,
            exists=exists,
            frees=self._keys(step.frees, owner),
            opens=self._joint_keys(step.opens, owner),
            loosens=self._loosened(step.loosens, owner),
            needs=self._keys(step.needs, owner),
            then=self._keys(step.then, owner),
            after=self._keys(step.after, owner),
            uses=tuple(
                StandingUse(use, self._applies(exists, use.when, owner))
                for use in step.uses
            ),
        )

    def _loosened(
        self, refs: Iterable[GroupRef], owner: Owner
    ) -> tuple[tuple[Key, str], ...]:
        return tuple(
            (key, ref.group)
            for ref in refs
            for key in self._names.joints.keys(ref.joint, owner)
        )

    def _job(self, job: Job, owner: Owner) -> StandingJob:
        return StandingJob(
            key=item_key(job.code, owner.member),
            job=job,
            member=owner.member,
            exists=self._literal(job.exists, owner),
            renew=self._keys(job.renew, owner),
            reseal=self._joint_keys(job.reseal, owner),
            do=self._keys(job.do, owner),
            check=self._keys(job.check, owner),
        )


def _reached(
    targets: Mapping[Key, object],
    steps: Iterable[StandingStep],
    reach: Callable[[StandingStep], tuple[Key, ...]],
) -> dict[Key, tuple[Key, ...]]:
    found: dict[Key, list[Key]] = {key: [] for key in targets}
    for step in steps:
        for key in reach(step):
            found[key].append(step.key)
    return {key: tuple(steps) for key, steps in found.items()}
