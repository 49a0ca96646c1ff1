"""What the ordered steps open, free and renew, each thing once, with reasons."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from bomsvc.core.logic.standing import Key
from bomsvc.core.work.case import Case
from bomsvc.core.work.survey import Survey, each_renewed_of, renewed_of
from bomsvc.core.work.values import (
    GroupLoosened,
    JointOpened,
    PositionChecked,
    PositionFreed,
    PositionIncluded,
    PositionRenewed,
    RenewCause,
    RenewReason,
    StepReason,
)

CAUSES_IN_ORDER: tuple[RenewCause, ...] = (
    "job",
    "joint_opened",
    "seal_freed",
    "renew_with",
    "single_freed",
    "single_joint",
)


@dataclass(frozen=True, slots=True)
class Effects:
    """Everything the work disturbs, as `Plan` has it."""

    opened: tuple[JointOpened, ...]
    loosened: tuple[GroupLoosened, ...]
    freed: tuple[PositionFreed, ...]
    renewed: tuple[PositionRenewed, ...]
    included: tuple[PositionIncluded, ...]
    checked: tuple[PositionChecked, ...]


def effects_of(survey: Survey, case: Case, sequence: Sequence[Key]) -> Effects:
    """Gather the effects of the steps, done in this sequence."""
    opened: dict[Key, JointOpened] = {}
    loosened: dict[tuple[Key, str], GroupLoosened] = {}
    freed: dict[Key, PositionFreed] = {}
    for key in sequence:
        step = case.steps[key]
        for joint in step.opens:
            opened.setdefault(joint, JointOpened(joint, key))
        for group in step.loosens:
            loosened.setdefault(group, GroupLoosened(*group, key))
        for each in step.freed:
            freed.setdefault(each.position, each)
    renewed = _renewed(survey, case, sequence)
    included = _included(survey, renewed)
    return Effects(
        opened=tuple(opened.values()),
        loosened=tuple(g for g in loosened.values() if g.joint not in opened),
        freed=tuple(freed.values()),
        renewed=_in_document_order(survey, renewed),
        included=tuple(included),
        checked=tuple(_checked(case, renewed)),
    )


def _renewed(
    survey: Survey, case: Case, sequence: Sequence[Key]
) -> dict[Key, dict[RenewReason, None]]:
    """Return every renewed position with its direct reasons."""
    found: dict[Key, dict[RenewReason, None]] = {}
    direct = [*case.renews]
    direct += (pair for key in sequence for pair in case.steps[key].renews)
    for position, reason in direct:
        found.setdefault(position, {})[reason] = None
    roots = [(key, of) for key, why in found.items() for of in each_renewed_of(why)]
    for position, of in roots:
        for other, because in survey.renewed_with(position, of=of):
            reason = RenewReason("renew_with", because)
            found.setdefault(other, {})[reason] = None
    return found


def _in_document_order(
    survey: Survey, renewed: Mapping[Key, Mapping[RenewReason, None]]
) -> tuple[PositionRenewed, ...]:
    return tuple(
        PositionRenewed(
            position=key,
            reasons=_telling_first(renewed[key]),
            single_only=_only_singles(survey, key, renewed[key]),
        )
        for key in sorted(renewed, key=survey.shop.place_of.__getitem__)
    )


def _telling_first(reasons: Iterable[RenewReason]) -> tuple[RenewReason, ...]:
    return tuple(sorted(reasons, key=lambda r: CAUSES_IN_ORDER.index(r.cause)))


def _only_singles(survey: Survey, key: Key, reasons: Iterable[RenewReason]) -> bool:
    reusable = survey.traits(key).keeps_something
    return reusable and renewed_of(reasons) == "singles"


def _included(
    survey: Survey, renewed: Mapping[Key, Iterable[RenewReason]]
) -> Iterator[PositionIncluded]:
    """Yield what comes with a renewed part, each position once."""
    seen: set[Key] = set()
    for position, reasons in renewed.items():
        of = renewed_of(reasons)
        for found, because in survey.included_with(position, of=of):
            if found not in seen:
                seen.add(found)
                yield PositionIncluded(found, because)


def _checked(case: Case, renewed: Mapping[Key, object]) -> Iterator[PositionChecked]:
    seen: set[Key] = set()
    for position, job in case.checks:
        if position not in renewed and position not in seen:
            seen.add(position)
            yield PositionChecked(position, job)


def why_each(case: Case, sequence: Sequence[Key]) -> dict[Key, StepReason]:
    """Return why each step is done, told from the jobs down.

    A requirement is met by the first of the done steps that can; a step only
    there as another way of meeting one is told that way.
    """
    place = {key: number for number, key in enumerate(sequence)}
    reasons: dict[Key, StepReason] = {}
    for first_only in (True, False):
        pending = list(case.roots)
        pending += (
            r
            for key in sequence
            for r in case.steps[key].requirements()
            if key in reasons
        )
        while pending:
            requirement = pending.pop(0)
            ways = sorted(
                (w for w in requirement.ways if w in place), key=place.__getitem__
            )
            for way in ways[:1] if first_only else ways:
                if way not in reasons:
                    reasons[way] = requirement.reason
                    pending += case.steps[way].requirements()
    return reasons
