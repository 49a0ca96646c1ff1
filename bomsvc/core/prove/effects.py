"""Every condition that something on the engine depends on."""

from __future__ import annotations

from collections.abc import Iterator

from bomsvc.core.logic.standing import Lit
from bomsvc.core.prove.subject import Subject


def outcome_literals(subject: Subject) -> Iterator[Lit]:
    """Yield the literals that say what sits, is sized, and is done."""
    standing = subject.standing
    for position in standing.positions.values():
        yield position.exists
        yield from (fitment.applies for fitment in position.fitments)
    for joint in standing.joints.values():
        yield joint.exists
        for group in joint.groups:
            yield group.exists
            yield from (stated.applies for stated in group.stated)
    for step in standing.steps.values():
        yield step.exists
        yield from (use.applies for use in step.uses)
    for job in standing.jobs.values():
        yield job.exists
