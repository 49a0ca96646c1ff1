"""Which positions a job renews, and when: with all that goes with a new part."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import NamedTuple

from bomsvc.core.logic.standing import FALSE, Key, Lit
from bomsvc.core.prove.subject import Subject


class Tie(NamedTuple):
    """Where `here` is new and `given` holds, `other` is new; renewed or included."""

    here: Key
    given: Lit
    other: Key
    renews: bool


def renewed_by_jobs(subject: Subject) -> dict[Key, Lit]:
    """Return, per position that a job may renew, when some job does.

    What is renewed with a renewed part counts, however far down, and so does what
    has to be renewed with a part that a renewed one brings along.
    """
    direct = _asked_for(subject)
    ties = tuple(_ties(subject))
    renewed, new = direct, direct
    # Each round carries it one part further, and a chain has each tie once.
    for _ in ties:
        after = _further(subject, direct, ties, new)
        if after == (renewed, new):
            break
        renewed, new = after
    return renewed


def _asked_for(subject: Subject) -> dict[Key, Lit]:
    gates = subject.circuit
    asked: dict[Key, list[Lit]] = defaultdict(list)
    for job in subject.standing.jobs.values():
        for key in job.renew:
            asked[key].append(job.exists)
    return {
        key: gates.all_of((gates.any_of(lits), subject.filled(key)))
        for key, lits in asked.items()
    }


def _further(
    subject: Subject, direct: dict[Key, Lit], ties: tuple[Tie, ...], new: dict[Key, Lit]
) -> tuple[dict[Key, Lit], dict[Key, Lit]]:
    gates = subject.circuit
    renewed_by: dict[Key, list[Lit]] = defaultdict(list)
    new_by: dict[Key, list[Lit]] = defaultdict(list)
    for key, lit in direct.items():
        renewed_by[key].append(lit)
        new_by[key].append(lit)
    for tie in ties:
        lit = gates.all_of((new.get(tie.here, FALSE), tie.given))
        new_by[tie.other].append(lit)
        if tie.renews:
            renewed_by[tie.other].append(lit)
    return (
        {key: gates.any_of(lits) for key, lits in renewed_by.items()},
        {key: gates.any_of(lits) for key, lits in new_by.items()},
    )


def _ties(subject: Subject) -> Iterator[Tie]:
    tied = {n for n, part in subject.parts.items() if part.renew_with or part.includes}
    if not tied:
        return
    keys_from = subject.compiled.keys_from
    for standing in subject.standing.positions.values():
        each, member = standing.position.each, standing.member
        for fitment in standing.fitments:
            if fitment.fitment.rank != 1 or fitment.fitment.part not in tied:
                continue
            part = subject.parts[fitment.fitment.part]
            for refs, renews in ((part.renew_with, True), (part.includes, False)):
                for key in (k for ref in refs for k in keys_from(ref, member, each)):
                    pair = (fitment.applies, subject.filled(key))
                    given = subject.circuit.all_of(pair)
                    yield Tie(standing.key, given, key, renews)
