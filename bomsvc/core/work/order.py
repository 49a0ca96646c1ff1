"""In which order the steps are done: strip-down, then refit.

Strip-down: each step after one step that frees each position it needs and after
each step it needs; where several could be next, the document's order. Refit: the
reverse of strip-down, but a step waits for the steps its `after` names; a step
that is owed waits for the steps that owe it; and what was needed off goes back
after what needed it off. Where these contradict, `after` decides.

How the document is read where it leaves room: a step that frees, opens and loosens
nothing and takes no minutes off belongs to refit, unless a step of the strip-down
needs it first or a job asks for it and it takes no minutes at all. A step of the
strip-down has a second entry in refit when it takes minutes on.
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass

from bomsvc.core.logic.standing import Key, StandingStep
from bomsvc.core.work.case import Case, Requirement


@dataclass(frozen=True, slots=True)
class Order:
    """`sequence`: all done steps, needs first; `strip` and `refit`: the entries.

    `strip_waits`, `refit_waits`: per entry the earlier entries of its phase that it
    must or should wait for; the rest of the order is only the document's.
    """

    sequence: tuple[Key, ...]
    strip: tuple[Key, ...]
    refit: tuple[Key, ...]
    strip_waits: Mapping[Key, Set[Key]]
    refit_waits: Mapping[Key, Set[Key]]

    def as_worked(self) -> tuple[Key, ...]:
        """Each step once, where it is first worked at."""
        return tuple(dict.fromkeys((*self.strip, *self.refit)))


def put_in_order(case: Case, done: Set[Key], document: Mapping[Key, int]) -> Order:
    """Order the done steps; `document` ranks every step by the document."""
    sequence = _needs_first(case, done, document)
    stripped = _stripped(case, done)
    strip = tuple(key for key in sequence if key in stripped)
    wanted = _wanted(case, sequence, stripped, document)
    must = {key: set(case.steps[key].standing.after) for key in wanted}
    should = _habits(case, sequence, wanted, stripped)
    refit = tuple(_as_wanted(wanted, must, should))
    return Order(
        sequence=sequence,
        strip=strip,
        refit=refit,
        strip_waits=_kept(strip, _providers(case, sequence)),
        refit_waits=_kept(refit, _both(must, should)),
    )


def _kept(
    order: Sequence[Key], waits: Mapping[Key, Set[Key]]
) -> dict[Key, frozenset[Key]]:
    """What each entry waits for, as far as the order could keep to it."""
    earlier: set[Key] = set()
    found: dict[Key, frozenset[Key]] = {}
    for key in order:
        found[key] = frozenset(waits.get(key, frozenset()) & earlier)
        earlier.add(key)
    return found


def _providers(case: Case, sequence: Sequence[Key]) -> dict[Key, set[Key]]:
    """Per step the first done way of each of its needs."""
    place = {key: number for number, key in enumerate(sequence)}
    return {
        key: {_provider(need, place) for need in case.steps[key].needs}
        for key in sequence
    }


def _provider(need: Requirement, place: Mapping[Key, int]) -> Key:
    return min((way for way in need.ways if way in place), key=place.__getitem__)


def _needs_first(
    case: Case, done: Set[Key], document: Mapping[Key, int]
) -> tuple[Key, ...]:
    """Take the first step of the document whose needs are met, again and again."""
    waiting_for: dict[Key, int] = {}
    meets: dict[Key, list[tuple[Key, int]]] = defaultdict(list)
    for key in done:
        needs = case.steps[key].needs
        waiting_for[key] = len(needs)
        for number, need in enumerate(needs):
            for way in need.ways:
                meets[way].append((key, number))
    ready = [(document[key], key) for key in done if not waiting_for[key]]
    heapq.heapify(ready)
    met: set[tuple[Key, int]] = set()
    sequence: list[Key] = []
    while ready:
        _, key = heapq.heappop(ready)
        sequence.append(key)
        for slot in meets[key]:
            if slot not in met:
                met.add(slot)
                waiting_for[slot[0]] -= 1
                if not waiting_for[slot[0]]:
                    heapq.heappush(ready, (document[slot[0]], slot[0]))
    assert len(sequence) == len(done), "a plan's steps wait on one another"
    return tuple(sequence)


def disturbs(step: StandingStep) -> bool:
    """Whether the step takes something off or apart, or takes minutes off."""
    return bool(step.frees or step.opens or step.loosens or step.step.minutes_off)


def _stripped(case: Case, done: Set[Key]) -> set[Key]:
    """Return the steps with an entry in strip-down."""
    found = {key for key in done if disturbs(case.steps[key].standing)}
    found |= {
        root.reason.item
        for root in case.roots
        if root.reason.cause in ("do", "pinned")
        and not case.steps[root.reason.item].standing.step.minutes_on
    }
    pending = list(found)
    while pending:
        for need in case.steps[pending.pop()].needs:
            if need.reason.item in done and need.reason.item not in found:
                found.add(need.reason.item)
                pending.append(need.reason.item)
    return found


def _wanted(
    case: Case,
    sequence: Sequence[Key],
    stripped: Set[Key],
    document: Mapping[Key, int],
) -> tuple[Key, ...]:
    """Return the refit entries in reverse of strip-down, then those only fitted."""
    steps = case.steps
    again = [
        key
        for key in reversed(sequence)
        if key in stripped and steps[key].standing.step.minutes_on
    ]
    only = sorted((k for k in sequence if k not in stripped), key=document.__getitem__)
    return (*again, *only)


def _habits(
    case: Case, sequence: Sequence[Key], wanted: Sequence[Key], stripped: Set[Key]
) -> dict[Key, set[Key]]:
    """Per step, the steps refitted before it, unless `after` says otherwise."""
    before: dict[Key, set[Key]] = defaultdict(set)
    place = {key: number for number, key in enumerate(sequence)}
    for key in wanted:
        for need in case.steps[key].needs:
            provider = _provider(need, place)
            if _goes_back_later(key, provider, need, stripped):
                before[provider].add(key)
            elif provider not in stripped:
                before[key].add(provider)
    for key in sequence:
        for owed in case.steps[key].owed:
            if owed.reason.cause == "then" and key not in before.get(owed.ways[0], ()):
                before[owed.ways[0]].add(key)
    return before


def _goes_back_later(
    key: Key, provider: Key, need: Requirement, stripped: Set[Key]
) -> bool:
    """Whether the provider is refitted after the step that needed it off or done.

    What had to be off goes back later. A step that had to be *done* is undone
    later only when both are strip-down; a refit step waits for it instead.
    """
    named_as_step = need.reason.item == provider
    return provider in stripped and (key in stripped or not named_as_step)


def _as_wanted(
    wanted: Sequence[Key],
    must: Mapping[Key, Set[Key]],
    should: Mapping[Key, Set[Key]],
) -> Iterable[Key]:
    """Yield the keys as near to the wanted order as what comes before allows.

    Next is the first with nothing outstanding; failing that, the first with
    nothing outstanding that it must wait for; failing that (`after` in a circle),
    the first of all.
    """
    left = list(wanted)
    both = _both(must, should)
    while left:
        outstanding = set(left)
        ready = (
            key
            for waits in (both, must, {})
            for key in left
            if not (waits.get(key, frozenset()) & outstanding) - {key}
        )
        key = next(ready)
        left.remove(key)
        yield key


def _both(
    must: Mapping[Key, Set[Key]], should: Mapping[Key, Set[Key]]
) -> dict[Key, Set[Key]]:
    return {
        key: set(must.get(key, ())) | set(should.get(key, ()))
        for key in {*must, *should}
    }
