"""Conditions always or never true by their form: over the option tree alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from bomsvc.core.catalogue.conditions import Always, Condition, Never, print_condition
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.standing import TRUE, Lit
from bomsvc.core.prove.findings import Finding
from bomsvc.core.prove.ground import Ground
from bomsvc.core.prove.questions import not_proven, plain
from bomsvc.core.prove.subject import Subject


@dataclass(frozen=True, slots=True)
class Written:
    """A condition of the document, with its literal for each member of its owner."""

    condition: Condition
    at: str
    pointer: str
    lits: tuple[Lit, ...]


def written_conditions(subject: Subject) -> tuple[Written, ...]:
    """Return every condition of the document but plain `always` and `never`."""
    return tuple(
        Written(condition, at, pointer, lits)
        for condition, at, pointer, lits in _all(subject)
        if not isinstance(condition, Always | Never)
    )


_Found = tuple[Condition, str, str, tuple[Lit, ...]]


def _all(subject: Subject) -> Iterator[_Found]:
    yield from _of_rules(subject)
    yield from _of_positions(subject)
    yield from _of_fitments(subject)
    yield from _of_joints(subject)
    yield from _of_work(subject)


def _lits(subject: Subject, condition: Condition, each: str | None) -> tuple[Lit, ...]:
    return tuple(
        subject.condition(condition, each, member) for member in subject.members(each)
    )


def _of_rules(subject: Subject) -> Iterator[_Found]:
    for rule in subject.catalogue.rules:
        for name, condition in (("when", rule.when), ("then", rule.then)):
            pointer = subject.pointer("rules", rule.code, name)
            yield condition, rule.code, pointer, _lits(subject, condition, rule.each)


def _of_positions(subject: Subject) -> Iterator[_Found]:
    for position in subject.catalogue.positions:
        pointer = subject.pointer("positions", position.code, "exists")
        lits = _lits(subject, position.exists, position.each)
        yield position.exists, position.code, pointer, lits


def _of_fitments(subject: Subject) -> Iterator[_Found]:
    each = {p.code: p.each for p in subject.catalogue.positions}
    plain_ones = _always_there(subject)
    for index, fitment in enumerate(subject.catalogue.fitments):
        if fitment.when is None:
            continue
        pointer = f"/fitments/{index}/when"
        lits = plain_ones.get(index)
        if lits is None:
            series = each[fitment.position.code]
            members = (
                subject.members(series)
                if fitment.position.member is None
                else (fitment.position.member,)
            )
            lits = tuple(subject.condition(fitment.when, series, m) for m in members)
        yield fitment.when, str(fitment.position), pointer, lits


def _always_there(subject: Subject) -> dict[int, tuple[Lit, ...]]:
    """Return the literals of fitments whose positions always exist, as they are."""
    found: dict[int, tuple[Lit, ...]] = {}
    for standing in subject.standing.positions.values():
        if standing.exists == TRUE:
            for fitment in standing.fitments:
                before = found.get(fitment.index, ())
                found[fitment.index] = (*before, fitment.applies)
    return found


def _of_joints(subject: Subject) -> Iterator[_Found]:
    for joint in subject.catalogue.joints:
        place = subject.pointer("joints", joint.code)
        lits = _lits(subject, joint.exists, joint.each)
        yield joint.exists, joint.code, f"{place}/exists", lits
        for number, group in enumerate(joint.groups):
            at, inner = f"{joint.code}.{group.code}", f"{place}/groups/{number}"
            lits = _lits(subject, group.exists, joint.each)
            yield group.exists, at, f"{inner}/exists", lits
            for count, stated in enumerate(group.stated):
                lits = _lits(subject, stated.when, joint.each)
                yield stated.when, at, f"{inner}/stated/{count}/when", lits


def _of_work(subject: Subject) -> Iterator[_Found]:
    for step in subject.catalogue.steps:
        place = subject.pointer("steps", step.code)
        lits = _lits(subject, step.exists, step.each)
        yield step.exists, step.code, f"{place}/exists", lits
        for count, use in enumerate(step.uses):
            lits = _lits(subject, use.when, step.each)
            yield use.when, step.code, f"{place}/uses/{count}/when", lits
    for job in subject.catalogue.jobs:
        pointer = subject.pointer("jobs", job.code, "exists")
        yield job.exists, job.code, pointer, _lits(subject, job.exists, job.each)


def check_conditions(ground: Ground, written: Sequence[Written]) -> Iterator[Finding]:
    """Yield the conditions that all answers, or none, satisfy by their form alone."""
    tree = Ground(_without_rules(ground.compiled), budget=ground.budget)
    lits = tuple(dict.fromkeys(lit for w in written for lit in w.lits))
    never = dict(zip(lits, tree.never(lits), strict=True))
    fails = tuple(negated(lit) for lit in lits)
    always = dict(zip(lits, tree.never(fails), strict=True))
    for each in written:
        holds = [never[lit] for lit in each.lits]
        failing = [always[lit] for lit in each.lits]
        if all(holds):
            yield _finding("condition_never", each)
        elif all(failing):
            yield _finding("condition_always", each)
        elif None in holds or None in failing:
            yield not_proven(each.at, each.pointer, "condition_never")


def _finding(code: str, written: Written) -> Finding:
    text = print_condition(written.condition)
    if code == "condition_never":
        detail = f"Whatever is answered, this condition is never true: {text}"
    else:
        detail = f"Whatever is answered, this condition is always true: {text}"
    return plain(code, written.at, written.pointer, detail)


def _without_rules(compiled: Compiled) -> Compiled:
    return replace(compiled, model=replace(compiled.model, rules=()))
