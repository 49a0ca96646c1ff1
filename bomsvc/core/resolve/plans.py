"""The plans of the jobs over every case of what they depend on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.resolve.demand import Demand, by_case
from bomsvc.core.resolve.disturbed import (
    Calls,
    WholePlace,
    calls_of_plan,
    calls_without_plan,
)
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.view import Vector, View
from bomsvc.core.work import Plan, Stuck

WORK_CASES = 256
"""Cases of the deciding conditions that are planned one by one; beyond them the
plan is only said to be what may matter."""


@dataclass(frozen=True, slots=True)
class PlannedCase:
    """One case of the open conditions and its plan."""

    vector: Vector
    plan: Plan | Stuck


@dataclass(frozen=True, slots=True)
class Planned:
    """The plans of the jobs.

    `complete` False: more cases than the budget; `cases` are then a few of them, and
    say nothing of the others.
    """

    lits: tuple[Lit, ...]
    cases: tuple[PlannedCase, ...]
    complete: bool

    def different(self) -> Iterable[PlannedCase]:
        """One case of each plan; cases that share a plan have the same object."""
        return {id(case.plan): case for case in self.cases}.values()

    def plans(self) -> list[Plan]:
        """The plans of the cases that have one, each different one once."""
        found: list[Plan] = []
        for case in self.different():
            if isinstance(case.plan, Plan) and case.plan not in found:
                found.append(case.plan)
        return found


_SAMPLE = 16
"""How many of too many cases are planned, to show what the work may look like."""


def plan_cases(
    view: View,
    layout: Layout,
    jobs: tuple[Key, ...],
    pins: tuple[Key, ...],
    *,
    limit: int = WORK_CASES,
) -> Planned:
    """Plan the jobs in every case that remaining builds produce, at most `limit`."""
    plans = layout.plans
    view.look(plans.literals(jobs, pins))
    lits = view.open_among(plans.literals_left(jobs, pins, view.settled()))
    cases = view.cases(lits, limit=limit)
    vectors = cases.vectors if cases.complete else cases.vectors[:_SAMPLE]
    planned = tuple(
        PlannedCase(
            vector,
            plans.plan(
                jobs, pins, view.settled(lits, vector), view.truth(lits, vector)
            ),
        )
        for vector in vectors
    )
    return Planned(lits, planned, cases.complete)


Only = Callable[[WholePlace], bool]


def demands_of(
    view: View,
    layout: Layout,
    planned: Planned,
    jobs: Sequence[Key],
    *,
    only: Only | None = None,
) -> dict[WholePlace, Demand]:
    """What the work asks for, place by place, on as few conditions as decide it.

    `only`: the places that matter to the caller; None: all.
    """
    cases = planned.cases
    if only is not None:
        cases = tuple(_trimmed(cases, only))
    by_vector = list(_all_calls(view, layout, replace(planned, cases=cases), jobs))
    places = dict.fromkeys(place for calls in by_vector for place in calls)
    vectors = [case.vector for case in cases]
    return {
        place: by_case(
            planned.lits, vectors, [calls.get(place, ()) for calls in by_vector]
        )
        for place in places
        if only is None or only(place)
    }


def _trimmed(cases: Iterable[PlannedCase], only: Only) -> Iterator[PlannedCase]:
    """The cases with plans that disturb only places that matter."""
    known: dict[int, Plan] = {}
    for case in cases:
        if isinstance(case.plan, Plan):
            name = id(case.plan)
            if name not in known:
                known[name] = _plan_for(case.plan, only)
            yield PlannedCase(case.vector, known[name])
        else:
            yield case


def _plan_for(plan: Plan, only: Only) -> Plan:
    return replace(
        plan,
        renewed=tuple(r for r in plan.renewed if only(("position", r.position, ""))),
        checked=tuple(c for c in plan.checked if only(("position", c.position, ""))),
        uses=tuple(use for use in plan.uses if only(("step", use.step, ""))),
    )


def _all_calls(
    view: View, layout: Layout, planned: Planned, jobs: Sequence[Key]
) -> Iterator[Calls]:
    """The calls of each case; cases with the same plan have the same ones."""
    known: dict[int, Calls] = {}
    for case in planned.cases:
        if isinstance(case.plan, Plan):
            name = id(case.plan)
            if name not in known:
                known[name] = calls_of_plan(layout, case.plan)
            yield known[name]
        else:
            yield _calls_without_plan(view, layout, planned.lits, case, jobs)


def _calls_without_plan(
    view: View,
    layout: Layout,
    lits: tuple[Lit, ...],
    case: PlannedCase,
    jobs: Sequence[Key],
) -> Calls:
    settled = view.settled(lits, case.vector)
    standing = [layout.compiled.standing.jobs[key] for key in jobs]
    return calls_without_plan(layout, [j for j in standing if settled(j.exists)])
