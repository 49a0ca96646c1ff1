"""Work: forgotten gaskets, joints never opened, jobs that renew nothing."""

from __future__ import annotations

from collections.abc import Iterator

from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.standing import TRUE
from bomsvc.core.prove.gaskets import forgotten_gaskets
from bomsvc.core.prove.questions import Question, always_says
from bomsvc.core.prove.reach import Reach
from bomsvc.core.prove.subject import Subject, joint_label, member_label


def work_questions(subject: Subject) -> Iterator[Question]:
    """Yield every question about steps, joints and jobs."""
    yield from forgotten_gaskets(subject, Reach(subject))
    yield from _never_opened(subject)
    yield from _idle(subject)


def _never_opened(subject: Subject) -> Iterator[Question]:
    gates, steps = subject.circuit, subject.standing.steps
    for key, joint in subject.standing.joints.items():
        openers = subject.standing.opened_by.get(key, ())
        opened = gates.any_of(steps[step].exists for step in openers)
        text = (
            f"The joint '{joint_label(joint)}' is there in this build, and no step "
            "opens it."
        )
        pointer = subject.pointer("joints", joint.joint.code)
        lits = (joint.exists, negated(opened))
        yield Question("joint_never_opened", key, pointer, lits, always_says(text))


def _idle(subject: Subject) -> Iterator[Question]:
    standing = subject.standing
    for key, job in standing.jobs.items():
        wanted = [subject.filled(position) for position in job.renew]
        wanted += [standing.joints[joint].exists for joint in job.reseal]
        wanted += [standing.steps[step].exists for step in job.do]
        if TRUE in wanted:
            continue
        label = member_label(job.job.label, job.job.each, job.member)
        text = f"The job '{label}' is offered in this build and renews nothing in it."
        pointer = subject.pointer("jobs", job.job.code)
        lits = (job.exists, *(negated(lit) for lit in wanted))
        yield Question("job_idle", key, pointer, lits, always_says(text))
