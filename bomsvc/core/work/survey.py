"""What stands in a case: filled positions, their parts, the ways to free them.

A `Survey` reads a shop's catalogue under literals that are settled or open. With
every literal settled it describes one case; with some open it describes all that
any case can hold, and notes the literals it asked about.

How the document is read where it leaves room:

* A position that exists and must hold one part holds one (the proof sees to it);
  any other is filled when a fitment of rank 1 applies.
* A single-use part clamped in a joint (a layer) comes off when the joint is
  opened, if no step of this build frees it in another way.
* Where only the single-use parts of a position are renewed, only what goes with
  those is renewed with them.
* What comes with a renewed part (`includes`) is renewed with it; its own
  `renew_with` counts, but for what comes with that renewed part too: of all that is
  new with one position, nothing that is brought is freed for its own sake.
* A position renewed whole for one reason and for its single-use parts for another
  is renewed for each: what goes with either is renewed with it.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from typing import Literal

from bomsvc.core.logic.standing import FALSE, TRUE, Key, Lit
from bomsvc.core.work.shop import Shop, Traits, Way
from bomsvc.core.work.values import ONLY_SINGLES, RenewReason

Settled = Callable[[Lit], bool | None]
Renewed = Literal["all", "singles"]


class Survey:
    """Reads a shop's catalogue under settled or open literals."""

    def __init__(self, shop: Shop, settled: Settled) -> None:
        self.shop = shop
        self._settled = settled
        self._open: dict[Lit, None] = {}
        self._filled: dict[Key, bool] = {}
        self._traits: dict[Key, Traits] = {}
        self._ways: dict[Key, tuple[Key, ...]] = {}

    @property
    def open_literals(self) -> tuple[Lit, ...]:
        """Literals met whose truth is not settled, in the order met."""
        return tuple(self._open)

    def may(self, lit: Lit) -> bool:
        """Whether the literal can hold; notes it when that is open."""
        if lit in (TRUE, FALSE):
            return lit == TRUE
        verdict = self._settled(lit)
        if verdict is None:
            self._open[lit] = None
            return True
        return verdict

    def may_any(self, lits: Iterable[Lit]) -> bool:
        """Whether one can hold; asks every one, so that none goes unnoted."""
        return True in [self.may(lit) for lit in lits]

    def filled(self, position: Key) -> bool:
        """Whether something sits in the position."""
        found = self._filled.get(position)
        if found is None:
            occupants = self.shop.occupants(position)
            found = self.may_any(occupants.filled)
            self._filled[position] = found
        return found

    def traits(self, position: Key) -> Traits:
        """Traits of all that sits (or may sit) in the position together."""
        found = self._traits.get(position)
        if found is None:
            found = self._traits[position] = self._gathered(position)
        return found

    def is_seal(self, position: Key) -> bool:
        """Whether what sits there is renewed once freed, because it seals."""
        joints = self.shop.sealed_by.get(position, ())
        return self.may_any(self.shop.standing.joints[j].exists for j in joints)

    def ways_to_free(self, position: Key) -> tuple[Key, ...]:
        """Steps of this case that free the position."""
        found = self._ways.get(position)
        if found is None:
            found = self._ways[position] = once(self._all_ways(position))
        return found

    def _all_ways(self, position: Key) -> Iterator[Key]:
        ways = self.outright_ways(position)
        yield from (way.step for way in ways)
        surely = any(
            self.is_true(self.shop.standing.steps[way.step].exists)
            and self.is_true(way.given)
            for way in ways
        )
        if not surely and self.traits(position).single:
            yield from self._unclamping(position)

    def outright_ways(self, position: Key) -> list[Way]:
        """Return the ways of this case, but for those by unclamping alone."""
        return [
            way
            for way in self.shop.ways_to_free(position)
            if self.step_exists(way.step) and self.may(way.given)
        ]

    def _unclamping(self, position: Key) -> Iterator[Key]:
        """Yield the steps that open a joint the position is a layer of."""
        for joint, group_exists in self.shop.clamped_in.get(position, ()):
            openers = [
                step
                for step in self.shop.openers.get(joint, ())
                if self.step_exists(step)
            ]
            if openers and self.may(group_exists):
                yield from openers

    def renewed_with(
        self, position: Key, *, of: Renewed = "all"
    ) -> Iterator[tuple[Key, Key]]:
        """Yield (position, because of position), transitively, each once.

        `of`: whether all parts in the position are renewed, or its single-use ones.
        What comes with them is left out: it has no need to be freed.
        """
        new = list(self._new_parts(position, of))
        comes_along = any(included for _, _, included in new)
        brought = self._surely_brought(position, of) if comes_along else set[Key]()
        for found, because, included in new:
            if not included and found not in brought:
                yield found, because

    def included_with(
        self, position: Key, *, of: Renewed = "all"
    ) -> Iterator[tuple[Key, Key]]:
        """Yield (position, comes with the part in), transitively, each once."""
        for found, because, included in self._new_parts(position, of):
            if included:
                yield found, because

    def _new_parts(self, position: Key, of: Renewed) -> Iterator[tuple[Key, Key, bool]]:
        # Singles may come back whole, by what is renewed with them.
        seen = {(position, False)} if of == "all" else set()
        queue = deque([(position, of)])
        while queue:
            here, renewed = queue.popleft()
            for key, included in self._followers(here, renewed):
                if (key, included) not in seen and self.filled(key):
                    seen.add((key, included))
                    yield key, here, included
                    queue.append((key, "all"))

    def _followers(self, position: Key, of: Renewed) -> list[tuple[Key, bool]]:
        """Return (position, comes with it) of what is new with the renewed parts."""
        return following(self.traits(position), of)

    def _surely_brought(self, position: Key, of: Renewed) -> set[Key]:
        """Return what comes with the renewed parts whatever is still open."""
        brought: set[Key] = set()
        seen = {position} if of == "all" else set()
        queue = deque([(position, of)])
        while queue:
            for key, included in self._sure_followers(*queue.popleft()):
                if not self._surely_filled(key):
                    continue
                if included:
                    brought.add(key)
                if key not in seen:
                    seen.add(key)
                    queue.append((key, "all"))
        return brought

    def _sure_followers(self, position: Key, of: Renewed) -> list[tuple[Key, bool]]:
        gathered, certain = self._possible(position)
        candidates = [following(traits, of) for traits in gathered]
        surely = [following(traits, of) for traits in certain]
        return [
            each
            for each in dict.fromkeys(f for several in candidates for f in several)
            if all(each in several for several in candidates)
            or any(each in several for several in surely)
        ]

    def _surely_filled(self, position: Key) -> bool:
        return any(map(self.is_true, self.shop.occupants(position).filled))

    def _possible(self, position: Key) -> tuple[list[Traits], list[Traits]]:
        """Return the traits of all that may sit there, and of what surely does."""
        occupants = self.shop.occupants(position)
        others = [(lit, t) for lit, t in occupants.others if self.may(lit)]
        certain = [t for lit, t in others if self.is_true(lit)]
        gathered = [t for _, t in others] + ([] if certain else [occupants.usual])
        return gathered, certain

    def _gathered(self, position: Key) -> Traits:
        gathered, _ = self._possible(position)
        if len(gathered) == 1:
            return gathered[0]
        return Traits(
            single=any(t.single for t in gathered),
            keeps_something=any(t.keeps_something for t in gathered),
            renew_with=once(k for t in gathered for k in t.renew_with),
            includes=once(k for t in gathered for k in t.includes),
            single_renew_with=once(k for t in gathered for k in t.single_renew_with),
            single_includes=once(k for t in gathered for k in t.single_includes),
        )

    def is_true(self, lit: Lit) -> bool:
        """Whether the literal is settled and holds."""
        return lit == TRUE or (lit != FALSE and self._settled(lit) is True)

    def step_exists(self, step: Key) -> bool:
        """Whether the step can exist."""
        return self.may(self.shop.standing.steps[step].exists)


def following(traits: Traits, of: Renewed) -> list[tuple[Key, bool]]:
    """Return (position, comes with it) of what is new with parts of these traits."""
    every = of == "all"
    renewed = traits.renew_with if every else traits.single_renew_with
    brought = traits.includes if every else traits.single_includes
    return [*((k, False) for k in renewed), *((k, True) for k in brought)]


def each_renewed_of(reasons: Iterable[RenewReason]) -> tuple[Renewed, ...]:
    """Return which parts of a position are renewed for some of these reasons."""
    singles = {reason.cause in ONLY_SINGLES for reason in reasons}
    kinds: tuple[tuple[Renewed, bool], ...] = (("all", False), ("singles", True))
    return tuple(of for of, only in kinds if only in singles)


def renewed_of(reasons: Iterable[RenewReason]) -> Renewed:
    """Return which parts of a position are renewed for these reasons."""
    singles = all(reason.cause in ONLY_SINGLES for reason in reasons)
    return "singles" if singles else "all"


def once(keys: Iterable[Key]) -> tuple[Key, ...]:
    """Return the keys, each where it first stands."""
    return tuple(dict.fromkeys(keys))
