"""Whether how long steps take can decide which way in is chosen."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from bomsvc.core.logic.standing import Key
from bomsvc.core.work.case import Case
from bomsvc.core.work.shop import Revision, shop_of
from bomsvc.core.work.survey import Survey
from bomsvc.core.work.walk import case_of

Link = tuple[Key | None, tuple[Key, ...]]
"""A step (None: the job), and the steps of which one meets what it asks for."""


def time_decides(revision: Revision, job: Key, steps: Collection[Key]) -> bool:
    """Return whether other minutes of these steps might make another plan best.

    False is proven, for every build: whatever asks for one of the steps, or for what
    leads to one, has no other way. Every plan of a case then has the same ones of
    them, and all of its plans take more or less time together.
    """
    case = case_of(Survey(shop_of(revision), lambda _: None), [job], [])
    links = list(_links(case))
    leading = _leading_to(set(steps), links)
    return any(len(ways) > 1 and leading.intersection(ways) for _, ways in links)


def _links(case: Case) -> Iterator[Link]:
    """Yield what is asked for; what a step may meet by being done asks for others."""
    for root in case.roots:
        yield None, root.ways
    for key, step in case.steps.items():
        for requirement in step.requirements():
            yield key, tuple(way for way in requirement.ways if way != key)


def _leading_to(steps: set[Key], links: list[Link]) -> set[Key]:
    """Return the steps and everything that may ask for one of them in the end."""
    askers: dict[Key, set[Key]] = {}
    for owner, ways in links:
        if owner is not None:
            for way in ways:
                askers.setdefault(way, set()).add(owner)
    found, waiting = set(steps), list(steps)
    while waiting:
        for owner in askers.get(waiting.pop(), ()):
            if owner not in found:
                found.add(owner)
                waiting.append(owner)
    return found
