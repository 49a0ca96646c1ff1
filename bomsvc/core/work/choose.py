"""Choosing the steps: exact least minutes, and the other way in.

What every plan must have is found by propagation, the rest falls apart into
independent parts; each is searched, and handed to the integer programme where it
is too large for the search. Parts share no step and no requirement, so the best
of each is the best of all, if the whole can be done in an order; where steps of
several parts wait on one another the whole is searched as one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from bomsvc.core.work.cover import (
    Cover,
    bits,
    components,
    done_in_order,
    forced_steps,
    largest_valid,
    part_of,
    reachable,
)
from bomsvc.core.work.search import Found, Search
from bomsvc.core.work.values import WorkSettings

_CHOICES_KEPT = 4096


@dataclass(frozen=True, slots=True)
class Chosen:
    """The steps, as masks; `other` is the runner-up that leaves one of them out.

    `minutes` and `bound` count the cover's units. `other_optimal` False: a cheaper
    runner-up was not ruled out within the budget.
    """

    steps: int
    minutes: int
    bound: int
    other: int | None
    other_optimal: bool


@lru_cache(maxsize=_CHOICES_KEPT)
def choose(cover: Cover, settings: WorkSettings) -> Chosen | None:
    """Return the least-weight valid set and the runner-up; None: there is none.

    Choices are kept: cases that differ in parts and not in steps are one cover.
    """
    return _choose(cover, settings, _Chooser)


@lru_cache(maxsize=_CHOICES_KEPT)
def choose_best(cover: Cover, settings: WorkSettings) -> Chosen | None:
    """Return the same without looking for a runner-up; `other` is None."""
    found = _choose(cover, settings, _BestChooser)
    if found is None or found.bound == found.minutes:
        return found
    # What the budget left open is looked at in the same way as by `choose`.
    return choose(cover, settings)


def _choose(cover: Cover, settings: WorkSettings, how: type[_Chooser]) -> Chosen | None:
    alive = largest_valid(cover, cover.steps).alive
    if not cover.meets_roots(alive):
        return None
    forced = forced_steps(cover, alive)
    parts = [
        part_of(cover, steps, forced, roots)
        for steps, roots in components(cover, alive, forced)
    ]
    found = how(cover, forced, settings).of(parts)
    if found is None:
        steps = reachable(cover, alive, cover.roots)
        whole = part_of(cover, steps, 0, cover.roots)
        found = how(cover, 0, settings).of([whole])
    assert found is not None
    return found


class _Chooser:
    """Solves the parts of one cover, beside the steps that are forced."""

    def __init__(self, cover: Cover, forced: int, settings: WorkSettings) -> None:
        self._cover = cover
        self._forced = forced
        self._settings = settings

    def of(self, parts: Sequence[Cover]) -> Chosen | None:
        """Return the choice; None when the parts together cannot be ordered."""
        solvers = [_PartSolver(part, self._settings) for part in parts]
        chosen = self._forced
        for solver in solvers:
            chosen |= solver.chosen
        other = min(self._others(chosen, solvers), key=self._weight, default=None)
        if not self._orderable(chosen) or not self._orderable(other or 0):
            return None
        return Chosen(
            steps=chosen,
            minutes=self._weight(chosen) // self._cover.unit,
            bound=self._minutes(self._forced) + sum(s.bound for s in solvers),
            other=other,
            other_optimal=all(s.other_proven for s in solvers),
        )

    def _others(self, chosen: int, solvers: Iterable[_PartSolver]) -> Iterable[int]:
        """Yield, per part, the whole with that part done the other way."""
        for solver in solvers:
            other = solver.other()
            if other is not None:
                yield chosen & ~solver.chosen | other

    def _weight(self, steps: int) -> int:
        return self._cover.weight(steps)

    def _minutes(self, steps: int) -> int:
        return sum(self._cover.minutes[i] for i in bits(steps))

    def _orderable(self, steps: int) -> bool:
        return done_in_order(self._cover, steps) == steps


class _BestChooser(_Chooser):
    """Solves the parts, and looks for no other way."""

    def _others(self, chosen: int, solvers: Iterable[_PartSolver]) -> Iterable[int]:
        del chosen, solvers
        return ()


class _PartSolver:
    """The best of one part and its runner-up."""

    def __init__(self, part: Cover, settings: WorkSettings) -> None:
        self._part = part
        self._settings = settings
        self._search = Search(part, settings.search_budget)
        found = self._search.best()
        if not found.proven and self._small_enough:
            found = self._programmed(found)
        assert found.chosen is not None
        self.chosen = found.chosen
        self.bound = found.bound // part.unit
        self.other_proven = True

    @property
    def _small_enough(self) -> bool:
        return self._part.steps.bit_count() <= self._settings.programme_steps

    def other(self) -> int | None:
        """Return the lightest valid set that does not hold all that is chosen."""
        found = self._search.without_some_of(self.chosen)
        if not found.proven and self._small_enough:
            found = _lighter(found, self._programme(self._part.steps, self.chosen))
        unit = self._part.unit
        self.other_proven = found.proven or (
            found.chosen is not None and found.bound // unit == found.weight // unit
        )
        return found.chosen

    def _programmed(self, found: Found) -> Found:
        usable = self._part.steps
        if found.chosen is not None:
            usable &= ~self._search.hopeless(found.weight + 1)
        return _lighter(found, self._programme(usable, avoid=0))

    def _programme(self, usable: int, avoid: int) -> Found:
        from bomsvc.core.work.programme import Programme

        limit = self._settings.programme_nodes
        known = self._search.landmarks
        return Programme(self._part, usable, limit, avoid, known).solve()


def _lighter(ours: Found, theirs: Found) -> Found:
    """Return the lighter set with the higher bound."""
    known = [f for f in (ours, theirs) if f.chosen is not None]
    if not known:
        return theirs
    best = min(known, key=lambda f: f.weight)
    bound = min(best.weight, max(ours.bound, theirs.bound))
    return Found(best.chosen, best.weight, bound, proven=theirs.proven)
