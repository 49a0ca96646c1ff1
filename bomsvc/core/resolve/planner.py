"""One plan per case of a job, made once per catalogue.

However many builds and requests lead to a case, it is planned once.
"""

from __future__ import annotations

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.resolve.memory import Memory
from bomsvc.core.resolve.view import Settled, Truth
from bomsvc.core.work import Plan, Stuck, plan, plan_literals
from bomsvc.core.work.outline import Outliner

_KEPT = 512
_JOBS_KEPT = 256


class Plans:
    """Plans by jobs, pinned steps and case, the latest kept."""

    def __init__(self, compiled: Compiled) -> None:
        self._compiled = compiled
        self._kept: Memory[Plan | Stuck] = Memory(_KEPT)
        self._literals: Memory[tuple[Lit, ...]] = Memory(_JOBS_KEPT)

    def literals(self, jobs: tuple[Key, ...], pins: tuple[Key, ...]) -> tuple[Lit, ...]:
        """Every condition the plan can depend on in any build."""
        return self._literals.get(
            (jobs, pins), lambda: plan_literals(self._compiled, jobs, pins)
        )

    def literals_left(
        self, jobs: tuple[Key, ...], pins: tuple[Key, ...], settled: Settled
    ) -> tuple[Lit, ...]:
        """The open conditions that still matter, given those that are settled."""
        if all(settled(lit) is not None for lit in self.literals(jobs, pins)):
            return ()
        return plan_literals(self._compiled, jobs, pins, settled=settled)

    def plan(
        self,
        jobs: tuple[Key, ...],
        pins: tuple[Key, ...],
        settled: Settled,
        truth: Truth,
    ) -> Plan | Stuck:
        """The plan of a case.

        Args:
            jobs: Job keys.
            pins: Pinned steps.
            settled: What the case says of a condition; None: nothing, and the
                plan does not depend on it.
            truth: The same, for the conditions it does say something of.
        """
        case = tuple(settled(lit) for lit in self.literals(jobs, pins))
        return self._kept.get(
            (jobs, pins, case), lambda: plan(self._compiled, truth, jobs, pins)
        )


class OutlinedPlans(Plans):
    """Plans in outline: nobody works by them, they are compared."""

    def __init__(self, compiled: Compiled) -> None:
        super().__init__(compiled)
        self._outliner = Outliner(compiled)

    def plan(
        self,
        jobs: tuple[Key, ...],
        pins: tuple[Key, ...],
        settled: Settled,
        truth: Truth,
    ) -> Plan | Stuck:
        """The plan of a case in outline; like cases have the same one."""
        del settled
        assert not pins, "nobody pins a way in for all builds"
        return self._outliner.outline(jobs, truth)
