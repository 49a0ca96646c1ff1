"""Jobs: whether each can be done in every build where it exists.

One question per job, whatever number of cases its conditions have: is there a build
that refuses it? In the least such build planning says what stands in the way. That
is told once, however many jobs it keeps from being done; then it is looked at as
mended, and the job is asked about again.
"""

from __future__ import annotations

from collections.abc import Iterator

from bomsvc.core.logic.budget import Unsettled
from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.standing import FALSE, Key
from bomsvc.core.prove.asked import Asked, job_node
from bomsvc.core.prove.findings import Finding
from bomsvc.core.prove.ground import Ground
from bomsvc.core.prove.questions import not_proven
from bomsvc.core.prove.refusal import Refusals, refusable
from bomsvc.core.prove.subject import Subject, joint_label, listed, member_label
from bomsvc.core.work.feasible import Cause, stuck_in
from bomsvc.core.work.values import StuckReason


class JobProof:
    """Asks about one job after the other; remembers what was told."""

    def __init__(self, subject: Subject, ground: Ground, asked: Asked) -> None:
        self._subject = subject
        self._ground = ground
        self._asked = asked
        reasons = refusable(asked.reasons) if subject.by_form else asked.reasons
        self._refusals = Refusals(reasons, ground.compiled.model.top)
        self._beside = ground.beside(self._refusals.clauses())
        self._mended: dict[Cause, tuple[int, ...]] = {}

    def findings_of(self, job: Key) -> Iterator[Finding]:
        """Yield what keeps one job from being done and was not told yet."""
        try:
            yield from self._findings_of(job)
        except Unsettled:
            code = self._subject.standing.jobs[job].job.code
            pointer = self._subject.pointer("jobs", code)
            yield not_proven(job, pointer, "job cannot be done")

    def _findings_of(self, job: Key) -> Iterator[Finding]:
        while (build := self.build_without(job)) is not None:
            for reason in self._standing_in_the_way(job, build):
                cause = (reason.code, reason.items[0])
                if cause not in self._mended:
                    self._mended[cause] = tuple(self._once_mended(cause))
                    yield self._finding(job, reason, build)

    def build_without(self, job: Key) -> Build | None:
        """Return the least build in which the job cannot be done, or None.

        What was told is looked at as mended.

        Raises:
            Unsettled: The budget ran out.
        """
        refused = self._refusals.refused(job_node(job))
        if refused == FALSE:
            return None
        mended = (lit for lits in self._mended.values() for lit in lits)
        question = (refused, *mended)
        self._ground.asked += 1
        if self._beside.possible(question):
            return self._beside.least(question)
        if self._ground.refuted is not None:
            below = self._refusals.clauses_below(job_node(job))
            self._ground.refute((*below, *((lit,) for lit in question)))
        return None

    def _once_mended(self, cause: Cause) -> Iterator[int]:
        """Yield literals by which the cause refuses nothing any more."""
        for node in self._asked.nodes_of(cause):
            if node[0] != "step":
                yield -self._refusals.refused(node)
                continue
            # A step that waits may be mended; where it is not there, it is not.
            held = zip(
                self._refusals.held(node), self._refusals.reasons(node), strict=True
            )
            absent = self._asked.reasons[node][0]
            yield from (-lit for lit, reason in held if reason != absent)

    def _standing_in_the_way(self, job: Key, build: Build) -> tuple[StuckReason, ...]:
        stuck = stuck_in(
            self._asked.shop, build.truth, [job], mended=self._mended.keys()
        )
        assert stuck is not None, "planning does what the proof says cannot be done"
        return stuck.reasons

    def _finding(self, job: Key, reason: StuckReason, build: Build) -> Finding:
        at, pointer = _place(self._subject, reason)
        detail = _sentence(self._subject, reason, job)
        shown = self._ground.shown(build)
        return Finding(reason.code, "fault", at, pointer, detail, build, shown)


def _place(subject: Subject, reason: StuckReason) -> tuple[Key, str]:
    at, standing = reason.items[0], subject.standing
    match reason.code:
        case "position_stuck":
            kind, code = "positions", standing.positions[at].position.code
        case "joint_never_opened":
            kind, code = "joints", standing.joints[at].joint.code
        case "needs_cycle":
            kind, code = "steps", standing.steps[at].step.code
    return at, subject.pointer(kind, code)


def _sentence(subject: Subject, reason: StuckReason, job: Key) -> str:
    standing = subject.standing.jobs[job]
    label = member_label(standing.job.label, standing.job.each, standing.member)
    match reason.code:
        case "position_stuck":
            why = f"no step frees {subject.label(reason.items[0])}"
            why += _wanted(subject, reason.wanted_by[-1], job)
        case "joint_never_opened":
            joint = subject.standing.joints[reason.items[0]]
            why = f"no step opens the joint '{joint_label(joint)}'"
        case "needs_cycle":
            why = _circle(subject, reason.items)
    return f"The job '{label}' cannot be done in this build: {why}."


def _wanted(subject: Subject, by: Key, job: Key) -> str:
    """Say for what it has to come off; nothing where the job itself asks for it."""
    if by in subject.standing.steps:
        return f", and '{subject.step_label(by)}' cannot be done without"
    if by in subject.standing.positions and by != job:
        return f", which is renewed with {subject.label(by)}"
    return ""


def _circle(subject: Subject, steps: tuple[Key, ...]) -> str:
    names = [f"'{subject.step_label(step)}'" for step in steps]
    if len(names) == 1:
        return f"{names[0]} waits on itself"
    return f"{listed(names)} wait on one another"
