"""What refuses a job in a build: every requirement of planning, as conditions.

The same as `core/work` reads off one case, for all builds at once. A position with
a gap counts as empty here: the gap is a finding of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.standing import (
    FALSE,
    TRUE,
    Key,
    Lit,
    StandingJob,
    StandingJoint,
    StandingPosition,
    StandingStep,
)
from bomsvc.core.prove.newness import Newness
from bomsvc.core.prove.refusal import Edge, Node, Reason
from bomsvc.core.prove.subject import Subject
from bomsvc.core.work.feasible import Cause
from bomsvc.core.work.shop import NO_TRAITS, Occupants, Shop, Way, hardware_of
from bomsvc.core.work.survey import Renewed

NOBODY: Key = Key("")


class ExactShop(Shop):
    """A shop that takes no part for granted, not even where one has to sit."""

    def _told_apart(self, standing: StandingPosition) -> Occupants:
        likely = tuple(
            (fitment.applies, self._traits(standing, fitment))
            for fitment in standing.fitments
            if fitment.fitment.rank == 1 and fitment.applies != FALSE
        )
        return Occupants(tuple(lit for lit, _ in likely), NO_TRAITS, likely)


def job_node(job: Key) -> Node:
    """Return the node of "the job cannot be done"."""
    return "job", job


class Asked:
    """The reasons of every node that some job rests on.

    Attributes:
        shop: The revision, turned round for planning.
        reasons: Per node, what refuses it.
    """

    def __init__(self, subject: Subject) -> None:
        self._subject = subject
        self._gates = subject.circuit
        self._standing = subject.standing
        self.shop = ExactShop(subject.compiled)
        self._newness = Newness(subject, self.shop)
        self.reasons: dict[Node, tuple[Reason, ...]] = {}
        self._gather()

    def nodes_of(self, cause: Cause) -> list[Node]:
        """Return the nodes that are refused no more once a cause is mended."""
        code, item = cause
        if code == "position_stuck":
            kinds = (("freeing", item), ("another", item))
            return [node for node in self.reasons if node[:2] in kinds]
        kind = "opening" if code == "joint_never_opened" else "step"
        return [(kind, item)]

    def _gather(self) -> None:
        pending = [job_node(key) for key in self._standing.jobs]
        while pending:
            node = pending.pop()
            if node not in self.reasons:
                self.reasons[node] = found = tuple(self._reasons_of(node))
                pending += (edge.node for reason in found for edge in reason.edges)

    def _reasons_of(self, node: Node) -> Iterator[Reason]:
        kind, item = node[0], Key(node[1])
        match kind:
            case "job":
                return self._of_job(self._standing.jobs[item])
            case "step":
                return self._of_step(self._standing.steps[item])
            case "opening":
                return self._of_opening(item)
            case "freeing":
                return self._of_freeing(item, Key(node[2]))
            case "another":
                return self._of_another_way(item, Key(node[2]))
        return self._of_carrying(item, singles=kind == "singles")

    # --- jobs, joints, positions --------------------------------------------

    def _of_job(self, job: StandingJob) -> Iterator[Reason]:
        steps, joints = self._standing.steps, self._standing.joints
        for step in job.do:
            yield _because((job.exists, steps[step].exists), ("step", step))
        for joint in job.reseal:
            there = (job.exists, joints[joint].exists)
            yield _because(there, ("opening", joint))
        for position in job.renew:
            there = (job.exists, self._filled(position))
            yield _because(there, ("freeing", position, NOBODY))
            yield _because(there, ("carrying", position))

    def _of_opening(self, joint: Key) -> Iterator[Reason]:
        openers = self.shop.openers.get(joint, ())
        yield Reason((), tuple(_edge(("step", step)) for step in openers))

    def _of_freeing(self, position: Key, by_other_than: Key) -> Iterator[Reason]:
        edges = [
            Edge(given, ("step", step), earlier=False)
            for step, given in self._ways(position)
            if step != by_other_than
        ]
        yield Reason((), tuple(edges))

    def _of_another_way(self, position: Key, opener: Key) -> Iterator[Reason]:
        """Yield that what is clamped comes off by a way of its own, if it has one."""
        ways = self.shop.ways_to_free(position)
        own = [negated(way.given) for way in ways if way.step == opener]
        others = [way for way in ways if way.step != opener]
        edges = tuple(Edge(w.given, ("step", w.step), earlier=False) for w in others)
        yield Reason((self._some_way(others), *own), edges)

    def _ways(self, position: Key) -> Iterator[tuple[Key, Lit]]:
        """Yield the steps that free a position, each with when it does."""
        ways = self.shop.ways_to_free(position)
        yield from ((way.step, way.given) for way in ways)
        only_clamped = self._gates.all_of(
            (self._single(position), negated(self._some_way(ways)))
        )
        if only_clamped == FALSE:
            return
        for joint, group_exists in self.shop.clamped_in.get(position, ()):
            given = self._gates.all_of((only_clamped, group_exists))
            yield from ((step, given) for step in self.shop.openers.get(joint, ()))

    def _some_way(self, ways: Iterable[Way]) -> Lit:
        steps = self._standing.steps
        return self._gates.any_of(
            self._gates.all_of((steps[way.step].exists, way.given)) for way in ways
        )

    # --- what goes with a new part ------------------------------------------

    def _of_carrying(self, position: Key, *, singles: bool) -> Iterator[Reason]:
        """Yield that what is renewed with a new part cannot be freed."""
        for key, due in self._newness.due(position, "singles" if singles else "all"):
            yield _because((due,), ("freeing", key, NOBODY))

    # --- steps --------------------------------------------------------------

    def _of_step(self, step: StandingStep) -> Iterator[Reason]:
        """Yield first that the step is not there, then what it lacks."""
        yield Reason((negated(step.exists),), ())
        yield from self._needs(step)
        for other in step.then:
            if other != step.key:
                there = (self._standing.steps[other].exists,)
                yield _because(there, ("step", other), earlier=True)
        for renewal in dict.fromkeys(self._renewals(step)):
            yield from self._of_renewal(step, renewal)

    def _needs(self, step: StandingStep) -> Iterator[Reason]:
        for item in step.needs:
            if item in self._standing.steps:
                there = (self._standing.steps[item].exists,)
                itself = item == step.key
                yield Reason(there, () if itself else (_edge(("step", item)),))
                continue
            frees_it = any(way == step.key for way, _ in self._ways(item))
            but = step.key if frees_it else NOBODY
            yield _because((self._filled(item),), ("freeing", item, but))

    def _of_renewal(self, step: StandingStep, renewal: _Renewal) -> Iterator[Reason]:
        position, given, of, clamped = renewal
        if clamped:
            another: Node = ("another", position, step.key)
            yield _because((given,), another, earlier=True)
        kind = "carrying" if of == "all" else "singles"
        yield _because((given,), (kind, position), earlier=True)

    def _renewals(self, step: StandingStep) -> Iterator[_Renewal]:
        """Yield what is renewed because the step is done."""
        joints = [self._standing.joints[key] for key in step.opens]
        for joint in joints:
            for position in joint.seals:
                there = (joint.exists, self._filled(position))
                yield self._renewal(position, there, "all")
            for position, given in self._clamped_singles(joint):
                yield _Renewal(position, given, "singles", clamped=True)
        for position, lit in self._freed(step, joints):
            off = (lit, self._filled(position))
            yield self._renewal(position, (*off, self._is_seal(position)), "all")
            yield self._renewal(position, (*off, self._single(position)), "singles")

    def _renewal(
        self, position: Key, given: Iterable[Lit], of: Renewed
    ) -> _Renewal:  # fmt: skip
        return _Renewal(position, self._gates.all_of(given), of, clamped=False)

    def _freed(
        self, step: StandingStep, joints: Iterable[StandingJoint]
    ) -> Iterator[tuple[Key, Lit]]:
        """Yield what comes off with the step, each with when it does."""
        yield from ((position, TRUE) for position in step.frees)
        for joint in joints:
            yield from ((position, joint.exists) for position in joint.seals)
            for position, given in self._clamped_singles(joint):
                ways = self.shop.ways_to_free(position)
                only_clamped = negated(self._some_way(ways))
                yield position, self._gates.all_of((given, only_clamped))
            for group in joint.groups:
                for position, _ in hardware_of(group, joint.seals):
                    yield position, group.exists
        for key, code in step.loosens:
            joint = self._standing.joints[key]
            group = next(g for g in joint.groups if g.code == code)
            for position, loose in hardware_of(group, joint.seals):
                if loose:
                    yield position, group.exists

    def _clamped_singles(self, joint: StandingJoint) -> Iterator[tuple[Key, Lit]]:
        for group in joint.groups:
            for layer in group.layers:
                position = layer.position
                single = (self._single(position), self._filled(position))
                yield position, self._gates.all_of((group.exists, *single))

    # --- what sits in a position --------------------------------------------

    def _filled(self, position: Key) -> Lit:
        return self._subject.filled(position)

    def _single(self, position: Key) -> Lit:
        others = self.shop.occupants(position).others
        return self._gates.any_of(lit for lit, traits in others if traits.single)

    def _is_seal(self, position: Key) -> Lit:
        joints = self.shop.sealed_by.get(position, ())
        return self._gates.any_of(self._standing.joints[j].exists for j in joints)


class _Renewal(NamedTuple):
    """Where `given` holds the position is renewed; `clamped`: with its joint."""

    position: Key
    given: Lit
    of: Renewed
    clamped: bool


def _edge(node: Node, *, earlier: bool = False) -> Edge:
    return Edge(TRUE, node, earlier)


def _because(lits: tuple[Lit, ...], node: Node, *, earlier: bool = False) -> Reason:
    """Return the reason that something is there and cannot be done."""
    return Reason(lits, (_edge(node, earlier=earlier),))
