"""Work: no way in, mutual waiting, joints never opened, jobs that renew nothing."""

from __future__ import annotations

from collections.abc import Iterator

from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.standing import TRUE, Key
from bomsvc.core.prove.gaskets import forgotten_gaskets
from bomsvc.core.prove.questions import Question, always_says
from bomsvc.core.prove.reach import Reach
from bomsvc.core.prove.renewals import renewed_by_jobs
from bomsvc.core.prove.subject import Subject, joint_label, listed, member_label


def work_questions(subject: Subject) -> Iterator[Question]:
    """Yield every question about steps, joints and jobs."""
    reach = Reach(subject)
    yield from _ways_in(subject, reach)
    yield from forgotten_gaskets(subject, reach)
    yield from _never_opened(subject)
    yield from _idle(subject)


def _ways_in(subject: Subject, reach: Reach) -> Iterator[Question]:
    gates, steps = subject.circuit, subject.standing.steps
    for key, wanted in renewed_by_jobs(subject).items():
        named = gates.any_of(
            gates.all_of((steps[step].exists, given)) for step, given in reach.ways(key)
        )
        position = subject.standing.positions[key].position
        pointer = subject.pointer("positions", position.code)
        text = (
            f"{subject.label(key)} is renewed by a job, and in this build no step "
            "frees it."
        )
        stuck = (wanted, negated(named))
        yield Question("position_stuck", key, pointer, stuck, always_says(text))
        waits = (wanted, named, negated(reach.freed(key)))
        text = _circle(subject, reach, key)
        yield Question("needs_cycle", key, pointer, waits, always_says(text))


def _circle(subject: Subject, reach: Reach, key: Key) -> str:
    labels = (subject.step_label(step) for step, _ in reach.ways(key))
    told = listed(dict.fromkeys(labels))
    return (
        f"{subject.label(key)} is renewed by a job, and in this build every way in "
        f"({told}) waits on something that waits on it in turn, or that nothing frees."
    )


def _never_opened(subject: Subject) -> Iterator[Question]:
    gates, steps = subject.circuit, subject.standing.steps
    for key, joint in subject.standing.joints.items():
        openers = subject.standing.opened_by.get(key, ())
        opened = gates.any_of(steps[step].exists for step in openers)
        text = f"{joint_label(joint)} is there in this build, and no step opens it."
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
