"""Ways in that are too dear to be taken in any build, told without planning it.

A step is never done without what it surely needs, so a bound on its cost is cheap.
Where a plan without it costs less than that bound in every build, no best plan has
it, and the conditions that only it asks about need not be told apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from decimal import Decimal

from bomsvc.core.catalogue.entities import Catalogue, Ref
from bomsvc.core.logic.standing import Key, Standing
from bomsvc.core.work.case import Case, Requirement
from bomsvc.core.work.shop import Revision, Shop, shop_of
from bomsvc.core.work.survey import Settled, Survey
from bomsvc.core.work.walk import case_of


@dataclass(frozen=True, eq=False)
class Without:
    """A revision without some steps, for planning; what they free stays in place."""

    whole: Revision
    standing: Standing

    @property
    def catalogue(self) -> Catalogue:
        """The document."""
        return self.whole.catalogue

    def keys_from(
        self, ref: Ref, member: int | None, each: str | None
    ) -> tuple[Key, ...]:
        """Resolve a part's reference, seen from the position it sits in."""
        return self.whole.keys_from(ref, member, each)


def without(revision: Revision, steps: Set[Key]) -> Without:
    """Return the revision without the steps; nothing left may name them."""
    standing = revision.standing
    kept = {key: step for key, step in standing.steps.items() if key not in steps}
    return Without(revision, replace(standing, steps=kept))


def least_minutes(
    revision: Revision, jobs: Sequence[Key], settled: Settled
) -> Mapping[Key, Decimal]:
    """Return, per step the jobs can reach, minutes that no plan with it undercuts.

    Args:
        revision: The compiled revision.
        jobs: Job keys.
        settled: What is known of a literal: True, False, or None for open.
    """
    survey = Survey(shop_of(revision), settled)
    case = case_of(survey, jobs, ())
    return {key: _least(survey, case, key) for key in case.steps}


def _least(survey: Survey, case: Case, start: Key) -> Decimal:
    """Add up a step and all that is surely done before it, each once."""
    found = {start}
    waiting = [start]
    while waiting:
        for need in case.steps[waiting.pop()].needs:
            if len(need.ways) == 1 and _certain(survey, need):
                (way,) = need.ways
                if way not in found:
                    found.add(way)
                    waiting.append(way)
    steps = (case.steps[key].standing.step for key in found)
    return sum((s.minutes_off + s.minutes_on for s in steps), Decimal(0))


def _certain(survey: Survey, need: Requirement) -> bool:
    """Whether what is needed off, or done, stands in every build that is left."""
    item, shop = need.reason.item, survey.shop
    if item in shop.standing.steps:
        return survey.is_true(shop.standing.steps[item].exists)
    return any(map(survey.is_true, shop.occupants(item).filled))


def dear_steps(
    revision: Revision,
    jobs: Sequence[Key],
    least: Mapping[Key, Decimal],
    limit: Decimal,
) -> frozenset[Key]:
    """Return steps dearer than the limit that can be left out of planning.

    What a step that stays, or a job, names stays. So does each way to free a
    single-use part clamped in a joint that can still be opened: how that part comes
    off is read from all its ways.
    """
    shop = shop_of(revision)
    named = {key for job in jobs for key in shop.standing.jobs[job].do}
    dear = {key for key, minutes in least.items() if minutes > limit} - named
    while dear:
        stay = shop.standing.steps.keys() - dear
        kept = dear & (_named_by(shop, stay) | _beside(shop, stay))
        if not kept:
            break
        dear -= kept
    return frozenset(dear)


def _named_by(shop: Shop, steps: Iterable[Key]) -> set[Key]:
    standing = [shop.standing.steps[key] for key in steps]
    return {key for step in standing for key in (*step.needs, *step.then)}


def _beside(shop: Shop, steps: Set[Key]) -> set[Key]:
    """Return the ways to free clamped single-use parts of joints that steps open."""
    return {
        way.step
        for position, joints in shop.clamped_in.items()
        if _may_be_single(shop, position)
        and any(steps & set(shop.openers.get(joint, ())) for joint, _ in joints)
        for way in shop.ways_to_free(position)
    }


def _may_be_single(shop: Shop, position: Key) -> bool:
    occupants = shop.occupants(position)
    return occupants.usual.single or any(t.single for _, t in occupants.others)
