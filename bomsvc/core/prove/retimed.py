"""The plans of a later revision in which the same steps only take another time."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.plans import Planned
from bomsvc.core.work import Plan, Stuck
from bomsvc.core.work.planner import MILLIONTHS


def retimed(planned: Planned, layouts: tuple[Layout, Layout]) -> Planned | None:
    """Return the same plans with the minutes of the later revision.

    Args:
        planned: Plans of the earlier revision, whose choice does not hang on minutes.
        layouts: The earlier and the later revision.

    Returns:
        None where a plan is not proven best: the later one might not be the same.
    """
    plans = {id(case.plan): case.plan for case in planned.cases}
    if any(isinstance(plan, Plan) and not plan.optimal for plan in plans.values()):
        return None
    later = {name: _later(plan, layouts) for name, plan in plans.items()}
    cases = (replace(case, plan=later[id(case.plan)]) for case in planned.cases)
    return replace(planned, cases=tuple(cases))


def _later(plan: Plan | Stuck, layouts: tuple[Layout, Layout]) -> Plan | Stuck:
    if isinstance(plan, Stuck):
        return plan
    more = sum((_more(key, layouts) for key in plan.done), Decimal(0))
    # Written as a plan writes its minutes: whole millionths, divided.
    minutes = Decimal(int((plan.minutes + more) * MILLIONTHS)) / MILLIONTHS
    return replace(plan, minutes=minutes, bound=minutes)


def _more(key: Key, layouts: tuple[Layout, Layout]) -> Decimal:
    before, after = (each.compiled.standing.steps[key].step for each in layouts)
    return after.minutes_off + after.minutes_on - before.minutes_off - before.minutes_on
