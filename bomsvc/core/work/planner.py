"""The plan of any set of jobs together, for one case: least minutes, exactly."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import gcd

from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.work.case import Case, CaseStep, Requirement
from bomsvc.core.work.choose import Chosen, choose
from bomsvc.core.work.cover import Cover, bits, mask_of
from bomsvc.core.work.effects import Effects, effects_of, why_each
from bomsvc.core.work.lifting import lifting_of, note_literals
from bomsvc.core.work.order import Order, put_in_order
from bomsvc.core.work.possible import possible_in
from bomsvc.core.work.shop import Revision, Shop, shop_of
from bomsvc.core.work.stuck import stuck_because
from bomsvc.core.work.survey import Survey
from bomsvc.core.work.values import (
    OtherWay,
    Plan,
    StepDone,
    StepReason,
    Stuck,
    UseDue,
    WorkSettings,
)
from bomsvc.core.work.walk import case_of, settled_case_of

USUAL_SETTINGS = WorkSettings()
MILLIONTHS = 10**6
"""Minutes are decimals of at most six places: whole numbers of these."""


def plan_literals(
    revision: Revision,
    jobs: Sequence[Key],
    by_way_of: Sequence[Key] = (),
    *,
    settled: Callable[[Lit], bool | None] = lambda _: None,
    settings: WorkSettings = USUAL_SETTINGS,
) -> tuple[Lit, ...]:
    """Return every literal the plan can depend on, but for what its steps use.

    Args:
        revision: The compiled revision.
        jobs: Job keys.
        by_way_of: Pinned step keys.
        settled: What is known of a literal: True, False, or None for open. Only
            open ones are returned, and only those that still matter.
        settings: The shop's settings; the lifting limit matters here.

    Returns:
        Literals in the order met, each once.
    """
    survey = Survey(shop_of(revision), settled)
    case = case_of(survey, jobs, by_way_of)
    for step in case.steps.values():
        note_literals(survey, step, settings.lift_limit_kg)
        for position, _ in step.renews:
            _walk(survey.renewed_with(position), survey.included_with(position))
    for position, _ in case.renews:
        _walk(survey.renewed_with(position), survey.included_with(position))
    return survey.open_literals


def work_literals(
    revision: Revision,
    jobs: Sequence[Key],
    by_way_of: Sequence[Key] = (),
    *,
    settled: Callable[[Lit], bool | None] = lambda _: None,
    settings: WorkSettings = USUAL_SETTINGS,
) -> tuple[Lit, ...]:
    """Return the literals of `plan_literals`, then those of what the steps use."""
    survey = Survey(shop_of(revision), settled)
    for lit in plan_literals(
        revision, jobs, by_way_of, settled=settled, settings=settings
    ):
        survey.may(lit)
    case = case_of(Survey(shop_of(revision), settled), jobs, by_way_of)
    for step in case.steps.values():
        for use in step.standing.uses:
            survey.may(use.applies)
    return survey.open_literals


def plan(
    revision: Revision,
    truth: Callable[[Lit], bool],
    jobs: Sequence[Key],
    by_way_of: Sequence[Key] = (),
    *,
    settings: WorkSettings = USUAL_SETTINGS,
) -> Plan | Stuck:
    """Plan the jobs together in one case.

    Args:
        revision: The compiled revision.
        truth: The truth of each literal of `plan_literals` (no other is asked,
            but those that its `settled` settled).
        jobs: Job keys; one that does not exist in this build asks for nothing.
        by_way_of: Steps that must be done, where they exist.
        settings: Lifting limit and budgets.

    Returns:
        The closed set of steps of least minutes (ties: fewest steps, then code
        order), in order, with what it disturbs and the runner-up; or why there
        is none.
    """
    shop = shop_of(revision)
    survey = Survey(shop, truth)
    case = settled_case_of(survey, truth, dict.fromkeys(jobs), dict.fromkeys(by_way_of))
    numbered = Numbered(shop, case)
    chosen = choose(numbered.cover, settings)
    if chosen is None:
        return stuck_because(case, possible_in(case))
    other = _Other(case, numbered, chosen.other, chosen.other_optimal)
    if any(root.reason.cause == "pinned" for root in case.roots):
        done = frozenset(numbered.keys_of(chosen.steps))
        other = _without_pins(survey, jobs, done, settings)
    draft = _Draft(survey, case, numbered, chosen)
    return draft.plan(settings.lift_limit_kg, draft.other_way(other))


@dataclass(frozen=True, slots=True)
class _Other:
    """The other way in, in the integers of its own case; `steps` None: none."""

    case: Case
    numbered: Numbered
    steps: int | None
    optimal: bool


def _without_pins(
    survey: Survey, jobs: Sequence[Key], done: frozenset[Key], settings: WorkSettings
) -> _Other:
    """Return the best plan that nobody pinned anything in and that is not `done`.

    What is pinned is what the person wants to see compared: it binds no other way.
    """
    case = case_of(survey, dict.fromkeys(jobs), ())
    numbered = Numbered(survey.shop, case)
    free = choose(numbered.cover, settings)
    assert free is not None, "a plan with pins is a plan without them"
    if not done <= frozenset(numbered.keys_of(free.steps)):
        return _Other(case, numbered, free.steps, free.bound == free.minutes)
    return _Other(case, numbered, free.other, free.other_optimal)


def _walk(*walks: Iterable[object]) -> None:
    for each in walks:
        for _ in each:
            pass


class Numbered:
    """A case in integers.

    Steps asked for last come first: mostly needs first, so that checking an order
    is mostly one pass.
    """

    def __init__(self, shop: Shop, case: Case) -> None:
        self.keys = tuple(reversed(case.steps))
        self._number = {key: n for n, key in enumerate(self.keys)}
        steps = [case.steps[key] for key in self.keys]
        whole = [_millionths(step) for step in steps]
        self.unit = gcd(*whole) or 1
        self.cover = Cover(
            minutes=tuple(w // self.unit for w in whole),
            ranks=tuple(shop.code_order[key] for key in self.keys),
            steps=(1 << len(steps)) - 1,
            first=tuple(self._masks(step.needs) for step in steps),
            owed=tuple(self._masks(step.owed, step) for step in steps),
            roots=self._masks(case.roots),
        )

    def _masks(
        self, requirements: Iterable[Requirement], owner: CaseStep | None = None
    ) -> tuple[int, ...]:
        """Return the masks, without what the owner meets by being done."""
        own = owner.standing.key if owner else None
        masks = (
            mask_of(self._number[way] for way in requirement.ways)
            for requirement in requirements
            if own not in requirement.ways
        )
        return tuple(dict.fromkeys(masks))

    def keys_of(self, mask: int) -> tuple[Key, ...]:
        """Return the keys of a mask in code order."""
        ranked = sorted(bits(mask), key=self.cover.ranks.__getitem__)
        return tuple(self.keys[i] for i in ranked)

    def minutes(self, units: int) -> Decimal:
        """Turn units into minutes, exactly."""
        return Decimal(units * self.unit) / MILLIONTHS


def _millionths(step: CaseStep) -> int:
    source = step.standing.step
    whole = (source.minutes_off + source.minutes_on) * MILLIONTHS
    assert whole == int(whole), "minutes have at most six decimals"
    return int(whole)


class _Draft:
    """Puts a choice of steps into words: order, effects, reasons."""

    def __init__(
        self, survey: Survey, case: Case, numbered: Numbered, chosen: Chosen
    ) -> None:
        self._survey = survey
        self._case = case
        self._numbered = numbered
        self._chosen = chosen
        self._done = numbered.keys_of(chosen.steps)
        self._document = {key: n for n, key in enumerate(survey.shop.standing.steps)}
        self._order = put_in_order(case, set(self._done), self._document)

    def plan(self, lift_limit_kg: Decimal, other_way: OtherWay | None) -> Plan:
        sequence = self._order.sequence
        effects = effects_of(self._survey, self._case, sequence)
        steps = [self._case.steps[key] for key in sequence]
        entries = tuple(self._entries(why_each(self._case, sequence)))
        minutes = self._numbered.minutes(self._chosen.minutes)
        bound = self._numbered.minutes(self._chosen.bound)
        return Plan(
            done=self._done,
            steps=entries,
            opened=effects.opened,
            loosened=effects.loosened,
            freed=effects.freed,
            renewed=effects.renewed,
            included=effects.included,
            checked=effects.checked,
            uses=tuple(_uses(steps)),
            tools=_once(text for s in steps for text in s.standing.step.tools),
            cautions=_once(text for s in steps for text in s.standing.step.cautions),
            lifting=tuple(lifting_of(self._survey, steps, lift_limit_kg)),
            minutes=minutes,
            optimal=bound == minutes,
            bound=bound,
            other_way=other_way,
            pins_absent=self._case.pins_absent,
        )

    def _entries(self, why: dict[Key, StepReason]) -> Iterator[StepDone]:
        phased = [("strip", key) for key in self._order.strip]
        phased += [("refit", key) for key in self._order.refit]
        for number, (phase, key) in enumerate(phased, start=1):
            step = self._case.steps[key]
            source = step.standing.step
            strip = phase == "strip"
            waits = self._order.strip_waits if strip else self._order.refit_waits
            yield StepDone(
                key=key,
                phase="strip" if strip else "refit",
                order=number,
                minutes=source.minutes_off if strip else source.minutes_on,
                lift_kg=source.lift_kg,
                opens=step.opens if strip else (),
                loosens=step.loosens if strip else (),
                needed_by=why[key].by,
                why=why[key],
                waits_for=tuple(sorted(waits[key])),
            )

    def other_way(self, other: _Other) -> OtherWay | None:
        """Put the other way in into words, in the order it would be worked."""
        if other.steps is None:
            return None
        numbered = other.numbered
        keys = numbered.keys_of(other.steps)
        order = put_in_order(other.case, set(keys), self._document)
        units = sum(numbered.cover.minutes[i] for i in bits(other.steps))
        instead_of = tuple(k for k in self._order.as_worked() if k not in keys)
        if not instead_of:  # only where the budget ran out
            return None
        return OtherWay(
            steps=order.as_worked(),
            minutes=numbered.minutes(units),
            instead_of=instead_of,
            optimal=other.optimal,
        )


def _uses(steps: Iterable[CaseStep]) -> Iterator[UseDue]:
    for step in steps:
        for use in step.standing.uses:
            yield UseDue(step.standing.key, use)


def _once(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(texts))


__all__ = ["Effects", "Order", "plan", "plan_literals", "work_literals"]
