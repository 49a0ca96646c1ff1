"""Plans of jobs with too many cases: without the ways in that are too dear.

The cases of a job are many mostly because of ways in that no build takes: the engine
out of its bed for a bearing that comes out from below. Once every case of the rest
is planned for less than such a way in costs, the plans are the best of all.
"""

from __future__ import annotations

import threading
from dataclasses import replace
from decimal import Decimal
from weakref import WeakKeyDictionary

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.memory import Memory
from bomsvc.core.resolve.plans import Planned, PlannedCase
from bomsvc.core.resolve.view import Vector, View
from bomsvc.core.work import Plan, Stuck, plan, plan_literals
from bomsvc.core.work.dear import Without, dear_steps, least_minutes, without

_ROUNDS = 4
"""Limits tried: each is the dearest plan found under the one before."""
_KEPT = 32
_PLANS_KEPT = 256


class Pruned:
    """One revision without the steps that planning left out, the latest kept."""

    def __init__(self, compiled: Compiled) -> None:
        self._compiled = compiled
        self._without: Memory[Without] = Memory(_KEPT)
        self._literals: Memory[tuple[Lit, ...]] = Memory(_PLANS_KEPT)
        self._plans: Memory[Plan | Stuck] = Memory(_PLANS_KEPT)

    def planned(
        self,
        view: View,
        jobs: tuple[Key, ...],
        pins: tuple[Key, ...],
        sample: Planned,
        limit: int,
    ) -> Planned | None:
        """Return the plans of all cases; None where this does not settle them.

        Args:
            view: What is known.
            jobs: Job keys.
            pins: Pinned steps.
            sample: Some of the cases, planned whole.
            limit: Cases planned at most.
        """
        least = least_minutes(self._compiled, jobs, view.settled())
        highest = _dearest(sample)
        for _ in range(_ROUNDS):
            if highest is None:
                return None
            dear = dear_steps(self._compiled, jobs, least, highest) - set(pins)
            found = self._all_cases(view, jobs, pins, dear, limit) if dear else None
            if found is None:
                return None
            before, highest = highest, _dearest(found)
            if highest is not None and highest <= before:
                return found
        return None

    def _all_cases(
        self,
        view: View,
        jobs: tuple[Key, ...],
        pins: tuple[Key, ...],
        dear: frozenset[Key],
        limit: int,
    ) -> Planned | None:
        rest = self._without.get(dear, lambda: without(self._compiled, dear))
        settled = view.settled()
        lits = view.open_among(plan_literals(rest, jobs, pins, settled=settled))
        cases = view.cases(lits, limit=limit)
        if not cases.complete:
            return None
        asked = (dear, jobs, pins)
        read = self._literals.get(asked, lambda: plan_literals(rest, jobs, pins))

        def planned(vector: Vector) -> Plan | Stuck:
            known = view.settled(lits, vector)
            case = tuple(map(known, read))
            return self._plans.get(
                (asked, case),
                lambda: _alone(plan(rest, view.truth(lits, vector), jobs, pins)),
            )

        found = tuple(PlannedCase(vector, planned(vector)) for vector in cases.vectors)
        return Planned(lits, found, complete=True)


def _alone(found: Plan | Stuck) -> Plan | Stuck:
    """The plan without its other way in: one that was left out may be less dear."""
    return found if isinstance(found, Stuck) else replace(found, other_way=None)


def _dearest(planned: Planned) -> Decimal | None:
    """The most minutes of all cases; None where some case has no plan."""
    plans = [case.plan for case in planned.cases]
    minutes = [each.minutes for each in plans if isinstance(each, Plan)]
    return max(minutes) if len(minutes) == len(plans) and minutes else None


_PRUNED: WeakKeyDictionary[Layout, Pruned] = WeakKeyDictionary()
_lock = threading.Lock()


def pruned_of(layout: Layout) -> Pruned:
    """What is remembered of a catalogue, kept as long as its look-ups are."""
    with _lock:
        return _PRUNED.setdefault(layout, Pruned(layout.compiled))
