"""Plans of single jobs: whether each can be done in every build where it exists.

The questions about steps cover what jobs renew. A plan asks for more: what is
renewed with a seal, what is owed by a step. So each job is planned once for every
distinct case of its conditions, as long as these are few.
"""

from __future__ import annotations

from collections.abc import Iterator

from bomsvc.core.logic.budget import Unsettled
from bomsvc.core.logic.known import NOTHING
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.prove.findings import Finding
from bomsvc.core.prove.ground import Ground
from bomsvc.core.prove.questions import not_proven
from bomsvc.core.prove.subject import Subject, joint_label, member_label
from bomsvc.core.resolve.view import View
from bomsvc.core.work import plan_literals
from bomsvc.core.work.feasible import find_stuck
from bomsvc.core.work.values import StuckReason

CASES_MOST = 256
"""Cases of one job that are planned one by one, as the counter's lists do."""


def check_plans(subject: Subject, ground: Ground) -> Iterator[Finding]:
    """Yield what keeps a job from being done in some build."""
    view = View(Reasoner(subject.compiled, budget=ground.budget), NOTHING)
    seen: set[tuple[str, Key]] = set()
    for key, job in subject.standing.jobs.items():
        try:
            found = list(_stuck_in(subject, ground, view, key))
        except Unsettled:
            pointer = subject.pointer("jobs", job.job.code)
            yield not_proven(key, pointer, "position_stuck")
            continue
        for finding in found:
            if (finding.code, finding.at) not in seen:
                seen.add((finding.code, finding.at))
                yield finding


def _stuck_in(
    subject: Subject, ground: Ground, view: View, job: Key
) -> Iterator[Finding]:
    settled = view.settled()
    lits = view.open_among(plan_literals(subject.compiled, [job], settled=settled))
    cases = view.cases(lits, limit=CASES_MOST)
    if not cases.complete:
        return
    for vector in cases.vectors:
        stuck = find_stuck(subject.compiled, view.truth(lits, vector), [job])
        if stuck is None:
            continue
        pairs = zip(lits, vector, strict=True)
        build = ground.least(lit if value else Lit(-lit) for lit, value in pairs)
        for reason in stuck.reasons:
            at, pointer = _place(subject, reason)
            yield Finding(
                reason.code,
                "fault",
                at,
                pointer,
                _sentence(subject, reason, job),
                build,
                ground.shown(build),
            )


def _place(subject: Subject, reason: StuckReason) -> tuple[Key, str]:
    at, standing = reason.items[0], subject.standing
    if at in standing.joints:
        return at, subject.pointer("joints", standing.joints[at].joint.code)
    if at in standing.steps:
        return at, subject.pointer("steps", standing.steps[at].step.code)
    return at, subject.pointer("positions", standing.positions[at].position.code)


def _sentence(subject: Subject, reason: StuckReason, job: Key) -> str:
    standing = subject.standing.jobs[job]
    label = member_label(standing.job.label, standing.job.each, standing.member)
    names = " and ".join(_name(subject, key) for key in reason.items)
    match reason.code:
        case "position_stuck":
            why = f"no step frees {names}"
        case "joint_never_opened":
            why = f"no step opens {names}"
        case "needs_cycle":
            why = f"{names} wait on one another"
    return f"The job '{label}' cannot be done in this build: {why}."


def _name(subject: Subject, key: Key) -> str:
    if key in subject.standing.joints:
        return joint_label(subject.standing.joints[key])
    if key in subject.standing.steps:
        return f"'{subject.step_label(key)}'"
    return subject.label(key)
