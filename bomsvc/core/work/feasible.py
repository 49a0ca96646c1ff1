"""Whether jobs can be done at all in one case, without looking for the best plan."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.work.case import Case, Requirement
from bomsvc.core.work.cover import Cover, bits, largest_valid, mask_of
from bomsvc.core.work.shop import Revision, shop_of
from bomsvc.core.work.stuck import stuck_because
from bomsvc.core.work.survey import Survey
from bomsvc.core.work.values import Stuck
from bomsvc.core.work.walk import case_of


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
    case = case_of(Survey(shop_of(revision), truth), dict.fromkeys(jobs), ())
    possible = _possible(case)
    if all(possible.intersection(root.ways) for root in case.roots):
        return None
    return stuck_because(case, possible)


def _possible(case: Case) -> frozenset[Key]:
    """Return the steps of the largest set that can be done by itself."""
    keys = tuple(case.steps)
    number = {key: n for n, key in enumerate(keys)}

    def masks(requirements: Iterable[Requirement], own: Key) -> tuple[int, ...]:
        """Return the ways of each, without what a step meets by being done."""
        return tuple(
            mask_of(number[way] for way in requirement.ways)
            for requirement in requirements
            if own not in requirement.ways
        )

    cover = Cover(
        minutes=(0,) * len(keys),
        ranks=tuple(range(len(keys))),
        steps=(1 << len(keys)) - 1,
        first=tuple(masks(step.needs, key) for key, step in case.steps.items()),
        owed=tuple(masks(step.owed, key) for key, step in case.steps.items()),
        roots=(),
    )
    alive = largest_valid(cover, cover.steps).alive
    return frozenset(keys[n] for n in bits(alive))
