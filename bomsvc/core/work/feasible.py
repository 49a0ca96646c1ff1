"""Whether jobs can be done at all in one case, without looking for the best plan."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence, Set
from dataclasses import replace

from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.work.case import Case, CaseStep, Requirement
from bomsvc.core.work.possible import possible_in
from bomsvc.core.work.shop import Revision, Shop, shop_of
from bomsvc.core.work.stuck import stuck_because
from bomsvc.core.work.survey import Survey
from bomsvc.core.work.values import Stuck, StuckCode
from bomsvc.core.work.walk import settled_case_of

Cause = tuple[StuckCode, Key]
"""What stands in the way: a reason's code and the first of its items."""
NOTHING_MENDED: frozenset[Cause] = frozenset()


def find_stuck(
    revision: Revision, truth: Callable[[Lit], bool], jobs: Sequence[Key]
) -> Stuck | None:
    """Return why the jobs cannot be done in one case; None where they can.

    As `plan` says it, at a fraction of the work.

    Args:
        revision: The compiled revision.
        truth: The truth of each literal of `plan_literals`.
        jobs: Job keys; one that does not exist in this build asks for nothing.
    """
    return stuck_in(shop_of(revision), truth, jobs)


def stuck_in(
    shop: Shop,
    truth: Callable[[Lit], bool],
    jobs: Sequence[Key],
    mended: Set[Cause] = NOTHING_MENDED,
) -> Stuck | None:
    """Return why the jobs cannot be done, were some causes out of the way.

    Args:
        shop: The revision, turned round for planning.
        truth: The truth of each literal of `plan_literals`.
        jobs: Job keys; one that does not exist in this build asks for nothing.
        mended: Causes looked at as mended: the position comes off, the joint
            opens, the step waits for nothing and owes nothing.
    """
    case = settled_case_of(Survey(shop, truth), truth, dict.fromkeys(jobs), ())
    if mended:
        case = _with(case, mended)
    possible = possible_in(case)
    if all(map(possible.meets, case.roots)):
        return None
    return stuck_because(case, possible)


def _with(case: Case, mended: Set[Cause]) -> Case:
    steps = {key: _step_with(step, mended) for key, step in case.steps.items()}
    return replace(case, roots=_unmended(case.roots, mended), steps=steps)


def _step_with(step: CaseStep, mended: Set[Cause]) -> CaseStep:
    if ("needs_cycle", step.standing.key) in mended:
        return replace(step, needs=(), owed=())
    return replace(
        step,
        needs=_unmended(step.needs, mended),
        owed=_unmended(step.owed, mended),
    )


def _unmended(
    requirements: Iterable[Requirement], mended: Set[Cause]
) -> tuple[Requirement, ...]:
    return tuple(each for each in requirements if _asks_for(each) not in mended)


def _asks_for(requirement: Requirement) -> Cause:
    reason = requirement.reason
    if reason.cause == "reseal":
        return "joint_never_opened", reason.item
    return "position_stuck", reason.item
