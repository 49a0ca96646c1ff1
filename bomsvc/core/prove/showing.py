"""What differs in one build, before and after: as values and as a sentence."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.standing import Key
from bomsvc.core.prove.comparing import Place
from bomsvc.core.prove.differences import Difference
from bomsvc.core.prove.outcomes import (
    PIECE,
    AtPlace,
    Offered,
    StepTime,
    Taken,
    Tightened,
    WorkDone,
)
from bomsvc.core.prove.subject import joint_label, listed, member_label
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.terms.numbers import decimal_text

PLACES_SAID = 3


@dataclass(frozen=True, slots=True)
class Outcome:
    """One side of a difference, in one build; only what differs.

    Attributes:
        lines: (place, what is taken there) per place that differs.
        orders: (set number, how many are ordered).
        minutes: The whole work; None: there is no way in, or it is not work.
        steps: The steps that differ.
        stated: Alternates or tightening, in words.
        stuck: Why there is no way in.
    """

    lines: tuple[tuple[Place, AtPlace], ...] = ()
    orders: tuple[tuple[str, Decimal], ...] = ()
    minutes: Decimal | None = None
    steps: tuple[StepTime, ...] = ()
    stated: tuple[str, ...] = ()
    stuck: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Shown:
    """A difference in one build; a side is None where the thing is not there."""

    before: Outcome | None
    after: Outcome | None
    sentence: str


@dataclass(slots=True)
class _Sides:
    """Both outcomes while they are gathered."""

    lines: list[tuple[Place, AtPlace, AtPlace]] = field(default_factory=list)
    orders: list[tuple[str, Decimal, Decimal]] = field(default_factory=list)
    work: tuple[WorkDone, WorkDone] | None = None
    stated: tuple[tuple[object, ...], tuple[object, ...]] = ((), ())
    exists: tuple[bool, bool] = (True, True)


def shown(layouts: tuple[Layout, Layout], difference: Difference, build: Build
          ) -> Shown:  # fmt: skip
    """Return what comes out before and after in a build in which it differs."""
    sides = _gathered(difference, build)
    words = _Words(layouts)
    outcomes = tuple(_outcome(sides, words, i) for i in (0, 1))
    return Shown(
        outcomes[0] if sides.exists[0] else None,
        outcomes[1] if sides.exists[1] else None,
        words.sentence(sides),
    )


def _gathered(difference: Difference, build: Build) -> _Sides:
    sides = _Sides()
    for place, paired in difference.splits.items():
        one, other = paired.at(build.truth)
        match one, other:
            case AtPlace(), AtPlace():
                if one != other:
                    sides.lines.append((place, one, other))
            case bool(), bool():
                sides.exists = one, other
            case Decimal(), Decimal():
                if one != other:
                    sides.orders.append((place[1], one, other))
            case WorkDone(), WorkDone():
                sides.work = one, other
            case tuple(), tuple():
                sides.stated = one, other
    return sides


def _outcome(sides: _Sides, words: _Words, index: int) -> Outcome:
    lines = tuple((place, pair[index]) for place, *pair in sides.lines)
    orders = tuple((number, pair[index]) for number, *pair in sides.orders)
    told = words.stated(sides, index)
    if sides.work is None:
        return Outcome(lines, orders, stated=told)
    work = sides.work[index]
    others = sides.work[1 - index].steps
    return Outcome(
        lines,
        orders,
        minutes=work.minutes,
        steps=tuple(step for step in work.steps if step not in others),
        stated=told,
        stuck=work.stuck,
    )


class _Words:
    """Puts outcomes into words, with the labels of both revisions."""

    def __init__(self, layouts: tuple[Layout, Layout]) -> None:
        self._layouts = layouts

    def sentence(self, sides: _Sides) -> str:
        """Return what differs as a sentence that needs no code to read."""
        if sides.exists == (True, False):
            return "It is not there any more."
        if sides.exists == (False, True):
            return "It is there now, and was not before."
        parts = list(self._changes(sides))
        if len(parts) > PLACES_SAID:
            rest = len(parts) - PLACES_SAID + 1
            parts = [*parts[: PLACES_SAID - 1], f"and {rest} more places differ"]
        return f"{'; '.join(parts)}."

    def _changes(self, sides: _Sides) -> Iterator[str]:
        for place, one, other in sides.lines:
            yield f"{self._place(place)}: {', and '.join(_line_words(one, other))}"
        for number, one_qty, other_qty in sides.orders:
            before, after = decimal_text(one_qty), decimal_text(other_qty)
            yield f"{after} of {number} ordered instead of {before}"
        if sides.work is not None:
            yield from self._work(*sides.work)
        one_said, other_said = self.stated(sides, 0), self.stated(sides, 1)
        if one_said != other_said:
            yield from _instead(listed(one_said), listed(other_said))

    def stated(self, sides: _Sides, index: int) -> tuple[str, ...]:
        """Return what only this side states."""
        others = sides.stated[1 - index]
        return tuple(
            self._one_stated(thing, index)
            for thing in sides.stated[index]
            if thing not in others
        )

    def _one_stated(self, thing: object, index: int) -> str:
        match thing:
            case Tightened(text):
                return text
            case Offered(_, part, qty):
                name = self._layouts[index].parts[part].name
                return f"{decimal_text(qty)} x {part} ({name})"
        raise AssertionError(f"unknown thing stated: {thing!r}")

    def _work(self, one: WorkDone, other: WorkDone) -> Iterator[str]:
        if one.minutes is None or other.minutes is None:
            yield (
                "there is a way in now, and was none before"
                if one.minutes is None
                else "there is no way in any more"
            )
            return
        before, after = decimal_text(one.minutes), decimal_text(other.minutes)
        yield (
            f"{after} minutes instead of {before}"
            if before != after
            else f"other steps, in {before} minutes as before"
        )
        yield from self._steps(one.steps, other.steps)

    def _steps(
        self, one: Sequence[StepTime], other: Sequence[StepTime]
    ) -> Iterator[str]:
        times = {s.step: s for s in one}, {s.step: s for s in other}
        for key in dict.fromkeys((*times[0], *times[1])):
            before, after = times[0].get(key), times[1].get(key)
            if before is None:
                yield f"“{self._step(key)}” is done now"
            elif after is None:
                yield f"“{self._step(key)}” is not done any more"
            elif before != after:
                total, now = before.off + before.on, after.off + after.on
                yield (
                    f"“{self._step(key)}” takes {decimal_text(now)} minutes "
                    f"instead of {decimal_text(total)}"
                )

    def _step(self, key: Key) -> str:
        for layout in reversed(self._layouts):
            step = layout.compiled.standing.steps.get(key)
            if step is not None:
                return member_label(step.step.label, step.step.each, step.member)
        raise AssertionError(f"a step of neither revision: {key}")

    def _place(self, place: Place) -> str:
        for layout in reversed(self._layouts):
            label = place_label(layout, place)
            if label is not None:
                return label
        raise AssertionError(f"a place of neither revision: {place}")


def place_label(layout: Layout, place: Place) -> str | None:
    """Return a place's label with its member and group; None: it is not there."""
    kind, key, code = place
    standing = layout.compiled.standing
    if kind == "position" and key in standing.positions:
        position = standing.positions[key]
        each = position.position.each
        return member_label(position.position.label, each, position.member)
    if kind == "step" and key in standing.steps:
        step = standing.steps[key]
        return member_label(step.step.label, step.step.each, step.member)
    if kind == "joint" and key in standing.joints:
        joint = standing.joints[key]
        for group in joint.groups:
            if group.code == code:
                label = group.group.label or f"holes {code}"
                return f"{joint_label(joint)}, {label}"
    return None


def _line_words(one: AtPlace, other: AtPlace) -> Iterator[str]:
    """Yield what differs at one place: parts, holes, what is wrong."""
    before = [t for t in one.taken if t not in other.taken]
    after = [t for t in other.taken if t not in one.taken]
    numbers = [t.part for t in before] == [t.part for t in after]
    words = (
        listed([_part_words(t, orders=numbers) for t in each])
        for each in (before, after)
    )
    yield from _instead(*words)
    if one.taken and one.taken == other.taken and one.holes != other.holes:
        yield from _instead(_holes(one.holes), _holes(other.holes))
    yield from (f"a fault now: {said}" for said in _only(other, one))
    yield from (f"no longer a fault: {said}" for said in _only(one, other))


def _instead(before: str, after: str) -> Iterator[str]:
    if before and after:
        yield f"{after} instead of {before}"
    elif before or after:
        yield f"{after} added" if after else f"{before} left out"


def _only(side: AtPlace, rest: AtPlace) -> Iterator[str]:
    """Yield the faults of one side that the other has not, without a full stop."""
    for code, said in zip(side.faults, side.said, strict=True):
        if code not in rest.faults:
            yield said.rstrip(".")


def _part_words(taken: Taken, *, orders: bool) -> str:
    """Return `6 x W80.0108 (ISO 4762 - M8 x 30 - 10.9)`, in its unit."""
    unit = "x" if taken.unit == PIECE else f"{taken.unit} of"
    name = taken.part or taken.wanted or taken.name
    more = [taken.name] if taken.name != name else []
    if taken.need == "check":
        more.append("to be checked")
    if orders and taken.order not in (None, taken.part):
        more.append(f"ordered as {taken.order}")
    if orders and taken.order is None and taken.need == "renew" and taken.part:
        more.append("not sold")
    tail = f" ({', '.join(more)})" if more else ""
    return f"{decimal_text(taken.qty)} {unit} {name}{tail}"


def _holes(holes: Iterable[int]) -> str:
    return f"holes {listed([str(hole) for hole in holes], 12)}"
