"""Names and reasons in plain words, for every face that shows them to people.

Codes stay in replies; people read labels. A member of a series is named with its
number: "Main bearing shell, upper (main 4)".
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import TypeVar

from bomsvc.core.catalogue.conditions import Vocabulary, parse_condition
from bomsvc.core.catalogue.entities import Part, ReuseLimit
from bomsvc.core.catalogue.keys import vocabulary_of
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.condition_words import condition_words
from bomsvc.core.logic.sentences import inside
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.convert import ConversionWork
from bomsvc.core.resolve.lines import (
    Line,
    OpenPlace,
    Place,
    Reason,
    Work,
    WorkStep,
)
from bomsvc.core.resolve.scope import Scope
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.core.work.order import disturbs

T = TypeVar("T")
FASTENERS = frozenset({"screw", "nut", "stud", "washer"})
"""Kinds of parts that hold a joint and may go in again."""


@dataclass(frozen=True)
class Labels:
    """The labels of one revision, by key."""

    compiled: Compiled

    def position(self, key: Key) -> str:
        """Return a position's label, with its member."""
        found = self.compiled.standing.positions[key]
        return _with_member(found.position.label, found.position.each, found.member)

    def joint(self, key: Key) -> str:
        """Return a joint's label, with its member."""
        found = self.compiled.standing.joints[key]
        return _with_member(found.joint.label, found.joint.each, found.member)

    def group(self, key: Key, code: str) -> str:
        """Return a group's label within its joint; the code where it has none."""
        groups = self.compiled.standing.joints[key].groups
        found = next(group.group for group in groups if group.code == code)
        return found.label or f"{code.replace('_', ' ')} screws"

    def step(self, key: Key) -> str:
        """Return a step's label, with its member."""
        found = self.compiled.standing.steps[key]
        return _with_member(found.step.label, found.step.each, found.member)

    def job(self, key: Key) -> str:
        """Return a job's label, with its member."""
        found = self.compiled.standing.jobs[key]
        return _with_member(found.job.label, found.job.each, found.member)

    def option(self, key: Key) -> str:
        """Return an option's label, with its member."""
        found = self.compiled.options[key]
        return _with_member(found.option.label, found.option.each, found.member)

    def part(self, number: str) -> str:
        """Return a part's name; the number itself where no revision names it."""
        found = self._parts.get(number)
        return found.name if found else number

    def unit(self, number: str) -> str:
        """Return a part's unit code, UN/ECE Recommendation 20; one piece if unknown."""
        found = self._parts.get(number)
        return found.unit if found else "C62"

    def place(self, place: Place) -> str:
        """Return where something goes: a position, holes of a joint, or a step."""
        if place.kind == "position":
            return self.position(place.key)
        if place.kind == "step":
            return self._use_place(place.key)
        name = self.joint(place.key)
        if place.group is None:
            return name
        return f"{name}, {self.group(place.key, place.group)}, {holes(place.holes)}"

    def places(self, places: Iterable[Place]) -> str:
        """Return where something goes, members of a series together.

        "Intake port gasket (cylinder 1 to 6)".
        """
        return "; ".join(self._together(places, self.place, lambda one: one.key))

    def joints(self, keys: Iterable[Key]) -> str:
        """Return joints' labels, members of a series together."""
        return "; ".join(self._together(keys, self.joint, lambda one: one))

    def _together(
        self, things: Iterable[T], name: Callable[[T], str], key: Callable[[T], Key]
    ) -> Iterator[str]:
        """Yield the name of each thing; those that differ by member only, once."""
        members: dict[tuple[str, str], list[int]] = {}
        for thing in things:
            series, _, number = key(thing).rstrip("]").partition("[")
            label = name(thing)
            before, mark, after = label.rpartition(f" {number})")
            if not (series and number and mark):
                members.setdefault((label, ""), [])
                continue
            found = members.setdefault((before, after), [])
            found += [] if int(number) in found else [int(number)]
        for (before, after), numbers in members.items():
            yield f"{before} {listed(_runs(numbers))}){after}" if numbers else before

    def reason(self, reason: Reason) -> str:
        """Return one reason as a short sentence without a full stop."""
        return ", ".join(self._clauses(reason)) or "it was asked for"

    def _use_place(self, key: Key) -> str:
        """Name the half of the step that uses it up: closing up, where it has one."""
        step = self.compiled.standing.steps[key]
        closes = disturbs(step) and step.step.minutes_on
        return f"used {'in closing up after' if closes else 'at'}: {self.step(key)}"

    def known_part(self, number: str) -> Part | None:
        """Return a part of the revision; None where it has no such number."""
        return self._parts.get(number)

    def sold_as(self, number: str) -> str | None:
        """Return the number a part is sold under, None where it is its own."""
        found = self._parts.get(number)
        return found.sold_as.number if found and found.sold_as else None

    @cached_property
    def _parts(self) -> dict[str, Part]:
        return {part.number: part for part in self.compiled.catalogue.parts}

    def _clauses(self, reason: Reason) -> Iterable[str]:
        yield from self._where(reason)
        if reason.step:
            yield self._use_clause(reason.step, reason.needed_by)
        if reason.freed_by:
            yield f"it comes off at “{self.step(reason.freed_by)}”"
        if reason.job:
            yield f"the job “{self.job(reason.job)}” asks for it"
        if reason.renewed_with:
            yield f"it is renewed together with {self.position(reason.renewed_with)}"
        if reason.reuse == "single":
            yield "it is used once only"
        elif reason.reuse:
            yield "it may be used again within limits"

    def _where(self, reason: Reason) -> Iterable[str]:
        if reason.position:
            yield f"it sits at {self.position(reason.position)}{self._if(reason)}"
        if reason.given:
            yield f"as decided by {', '.join(map(self.option, reason.given))}"
        if reason.joint:
            yield self._joint_clause(reason.joint, reason)

    def _if(self, reason: Reason) -> str:
        """The condition that puts the part there, in words; "" where nothing does."""
        if reason.position is None or reason.when in (None, "always"):
            return ""
        each = self.compiled.standing.positions[reason.position].position.each
        condition = parse_condition(reason.when, self._vocabulary, owner_series=each)
        return f" if {inside(condition_words(self.compiled, condition))}"

    @cached_property
    def _vocabulary(self) -> Vocabulary:
        return vocabulary_of(self.compiled.catalogue)

    def _joint_clause(self, joint: Key, reason: Reason) -> str:
        name = self.joint(joint)
        if reason.opened_by:
            return f"{name} is opened by “{self.step(reason.opened_by)}”"
        if reason.loosened_by:
            return f"screws of {name} come out at “{self.step(reason.loosened_by)}”"
        return f"it belongs to {name}"

    def _use_clause(self, step: Key, needed_by: Key | None) -> str:
        done_for = f", done for “{self._work(needed_by)}”," if needed_by else ""
        return f"“{self.step(step)}”{done_for} uses it"

    def _work(self, key: Key) -> str:
        if key in self.compiled.standing.jobs:
            return self.job(key)
        if key in self.compiled.standing.steps:
            return self.step(key)
        return self.position(key)


def holes(numbers: Iterable[int]) -> str:
    """Return hole numbers as people write them: "holes 1 to 5, 8 and 9"."""
    words = _runs(numbers)
    head = "hole" if len(words) == 1 and "to" not in words[0] else "holes"
    return f"{head} {listed(words)}"


def worded_steps(work: Work, labels: Labels) -> Iterator[tuple[WorkStep, str]]:
    """Yield each step with what to do, in order.

    The refit half of a strip-down step is told by the step it closes up after;
    steps of only some remaining builds say so.
    """
    stripped = {step.step for step in work.steps if step.phase == "strip"}
    for step in work.steps:
        closes = step.phase == "refit" and step.step in stripped
        name = labels.step(step.step)
        label = f"Close up after: {name}" if closes else name
        yield step, label if step.state == "certain" else f"{label} (if needed)"


def other_way_sentence(work: Work, labels: Labels) -> str:
    """Return what the runner-up does instead, and what it costs; "" without one."""
    if work.other_way is None:
        return ""
    chosen = {step.step for step in work.steps}
    instead = [step for step in work.other_way.steps if step not in chosen]
    total = f"takes {_compared(work.other_way.minutes, work.minutes[0])}"
    if instead:
        return f"The other way in, by {_quoted(instead, labels)}, {total}."
    left_out = _quoted(work.other_way.instead_of, labels)
    return f"The other way in, without {left_out}, {total}."


def _quoted(steps: Iterable[Key], labels: Labels) -> str:
    return listed(f"“{labels.step(step)}”" for step in steps)


def _compared(minutes: Decimal, chosen: Decimal) -> str:
    """Return minutes beside those of the chosen way: "20 minutes more: 165 minutes"."""
    total = f"{decimal_text(minutes)} minutes"
    if minutes == chosen:
        return f"as long: {total}"
    more = "more" if minutes > chosen else "less"
    return f"{decimal_text(abs(minutes - chosen))} minutes {more}: {total}"


def listed(words: Iterable[str]) -> str:
    """Return "a", "a and b" or "a, b and c"."""
    *first, last = [*words] or [""]
    return f"{', '.join(first)} and {last}" if first else last


def deciding_words(line: Line | OpenPlace, labels: Labels) -> str:
    """Return what an open line or place hangs on: "waits for Journal size".

    What cannot be asked is waited for. Where no option is named, the work itself was
    not settled: there were too many cases to plan.
    """
    if line.waits_on:
        return f"waits for {_options(line.waits_on, labels)}"
    if line.decided_by:
        return f"depends on {_options(line.decided_by, labels)}"
    return "depends on the way in, which is not settled"


def _options(keys: Iterable[Key], labels: Labels) -> str:
    return listed(labels.option(key) for key in keys)


def other_parts(line: Line) -> list[str]:
    """Return what may be taken instead, each once: "W44.0322 (Oil filter, big)"."""
    others = (one for one in line.alternates if one.part != line.part)
    return [*dict.fromkeys(f"{one.part} ({one.name})" for one in others)]


def sold_words(line: Line) -> str:
    """Return the number a line's part is sold under; "" where it is its own.

    Certain lines share their sets: how many is said as one sum for all of them. An
    open line may not be taken at all, so nothing is added up for it.
    """
    if line.order is None or line.order.part == line.part:
        return ""
    so_many = f", {decimal_text(line.order.qty)} in all"
    return f"sold only as {line.order.part}{so_many if line.state == 'certain' else ''}"


def brought_words(line: Line) -> str:
    """Return what comes inside a line's part, each once; "" where nothing does.

    "with it: Starter ring gear W56.0608". What hangs on the build is told by place:
    "with it, as the build is: Cap seal W1 or Cap seal W2".
    """
    certain: dict[tuple[str, str], Decimal] = {}
    open_at: dict[Key, list[str]] = {}
    for one in line.brings:
        if one.state == "certain":
            part = (one.part, one.name)
            certain[part] = certain.get(part, Decimal(0)) + one.qty
        else:
            open_at.setdefault(one.position, []).append(
                _counted(one.part, one.name, one.qty)
            )
    it = "it" if line.qty == 1 else "them"
    named = [_counted(*part, qty) for part, qty in certain.items()]
    texts = [f"with {it}: {', '.join(named)}"] if named else []
    if open_at:
        ways = dict.fromkeys(" or ".join(one) for one in open_at.values())
        texts.append(f"with {it}, as the build is: {'; '.join(ways)}")
    return "; ".join(texts)


def _counted(part: str, name: str, qty: Decimal) -> str:
    return f"{name} {part}" if qty == 1 else f"{decimal_text(qty)} {name} {part}"


def parts_title(scope: Scope) -> str:
    """Return what to head the parts with: nobody renews anything when browsing."""
    if scope.jobs:
        return "Renew"
    only_joints = not (scope.positions or scope.sections or scope.whole)
    return "Seals and screws" if only_joints else "Parts"


def again_words(line: Line, labels: Labels) -> str:
    """Return whether a fastener of an asked joint goes in again; "" for all else.

    Such a line says what belongs to the joint. No job has decided what becomes of
    what is there, and a sound screw is not thrown away.
    """
    asked = any(r.joint and not (r.opened_by or r.loosened_by) for r in line.why)
    found = None if line.part is None else labels.known_part(line.part)
    if found is None or found.kind not in FASTENERS:
        return ""
    if not asked or line.need != "renew":
        return ""
    reuse = found.reuse
    if isinstance(reuse, ReuseLimit):
        return f"used again within limits: {', '.join(_limits(reuse))}"
    return "never used again" if reuse == "single" else "used again if sound"


def _limits(reuse: ReuseLimit) -> Iterator[str]:
    if reuse.max_length_mm is not None:
        yield f"up to {decimal_text(reuse.max_length_mm)} mm long"
    if reuse.max_uses is not None:
        yield f"at most {reuse.max_uses} use{'' if reuse.max_uses == 1 else 's'}"
    if reuse.inspect:
        yield inside(reuse.inspect)


def minutes_words(work: Work | ConversionWork) -> str:
    """Return how long it takes; where not every case was planned, that is said."""
    least, most = (decimal_text(minutes) for minutes in work.minutes)
    span = f"{least} minutes" if least == most else f"{least} to {most} minutes"
    if work.basis == "exact":
        return span
    return f"for instance {span}; not every case was planned"


def planned_words(work: Work | ConversionWork) -> str:
    """Return what the steps are worth where not every case was planned; else ""."""
    if work.basis == "exact":
        return ""
    return (
        "Too many builds are still possible. The steps are those of some of them;"
        " others may take other steps, and less or more time."
    )


def _runs(numbers: Iterable[int]) -> list[str]:
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return [text for run in runs for text in _run(run)]


def _run(run: list[int]) -> list[str]:
    if len(run) > 2:  # noqa: PLR2004 - two neighbours read better written out
        return [f"{run[0]} to {run[-1]}"]
    return [str(number) for number in run]


def _with_member(label: str, each: str | None, member: int | None) -> str:
    return label if member is None else f"{label} ({each} {member})"
