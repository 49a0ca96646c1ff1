"""Raising the bound of one node of the search by spending on landmarks.

Every valid set has a step of each *landmark* (see `cover.landmark`). Spending the
least remaining weight of a landmark on the bound and taking it off all its steps
keeps "weight of any valid set >= bound + what remains of its steps" true, so the
bound only rises (dual ascent: Wong, Mathematical Programming 28 (1984); landmark
cuts in planning: Helmert and Domshlak, ICAPS 2009; from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import NamedTuple

from bomsvc.core.work.closure import Closure, Ways, Wiring
from bomsvc.core.work.cover import (
    Cover,
    bits,
    done_in_order,
    mask_of,
    thinned,
)

ROOTS_COMPARED = 16
"""Unmet roots whose landmarks are compared before one is spent."""


class Cut(NamedTuple):
    """A landmark, its steps, and what was spent on it."""

    mask: int
    steps: tuple[int, ...]
    spent: int


@dataclass(frozen=True, slots=True)
class Node:
    """A part of the search: steps in, steps out, the cuts spent so far.

    Every valid set with all of `included` and none of `banned` weighs `bound` or
    more: the included steps and what was spent. `left`: what remains of each
    step's weight, none for included ones.
    """

    included: int
    banned: int
    cuts: tuple[Cut, ...]
    bound: int
    left: tuple[int, ...]

    @classmethod
    def root(cls, cover: Cover) -> Node:
        """Return the whole problem, nothing spent."""
        return cls(0, 0, (), 0, cover.weights)

    def without(self, ban: int) -> Node:
        """Return the part of the node without these steps."""
        return replace(self, banned=self.banned | ban)

    def with_step(self, step: int, ban: int = 0) -> Node:
        """Return the part of the node with one more step (and without some).

        What was spent on a landmark that the step meets is given back.
        """
        bit = 1 << step
        left = list(self.left)
        kept: list[Cut] = []
        bound = self.bound
        for cut in self.cuts:
            if cut.mask & bit:
                bound -= cut.spent
                for i in cut.steps:
                    left[i] += cut.spent
            else:
                kept.append(cut)
        # With all given back, the step's whole weight remains: it is paid now.
        bound += left[step]
        left[step] = 0
        for i in bits(self.included):
            left[i] = 0
        return Node(
            self.included | bit, self.banned | ban, tuple(kept), bound, tuple(left)
        )


class Ascent:
    """One node's bound, risen as far as landmarks take it."""

    def __init__(self, cover: Cover, wiring: Wiring, node: Node) -> None:
        self._cover = cover
        self._node = node
        self._usable = cover.steps & ~node.banned
        self.bound = node.bound
        self.cuts = list(node.cuts)
        self.work = self._usable.bit_count()
        self._left = list(node.left)
        self._closure = Closure(cover, wiring, self._usable)
        self._closure.add(i for i in bits(self._usable) if not self._left[i])
        self._wiring = wiring
        self._unmet = list(wiring.roots)
        self._landmarks: dict[Ways, list[int]] = {}

    def rise(self, beaten: Callable[[int], bool]) -> bool:
        """Spend until the free steps hold a valid set; False: not worth while.

        That is when no valid set is left, or the bound is beaten.
        """
        closure = self._closure
        while not beaten(self.bound):
            self._unmet = [root for root in self._unmet if not closure.meets(root)]
            if not self._unmet:
                return True
            if not self._spend():
                return False
        return False

    def _spend(self) -> bool:
        """Spend on the smallest landmark seen; False: no valid set is left."""
        found: list[int] | None = None
        for root in self._unmet[:ROOTS_COMPARED]:
            cut = self._landmark(root)
            if found is None or len(cut) < len(found):
                found = cut
        steps = tuple(found or ())
        if not steps:
            return False
        left = self._left
        spent = min(left[i] for i in steps)
        self.bound += spent
        for i in steps:
            left[i] -= spent
        self.work += len(steps)
        self.cuts.append(Cut(mask_of(steps), steps, spent))
        self._closure.add(i for i in steps if not left[i])
        return True

    def _landmark(self, root: Ways) -> list[int]:
        """Return a landmark of an unmet root with something left to spend on.

        One found before still serves while none of its steps is spent up.
        """
        left = self._left
        cut = self._landmarks.get(root)
        if cut is None or not all(left[i] for i in cut):
            cut, work = self._closure.landmark(root)
            self.work += work
            self._landmarks[root] = cut
        return cut

    def node(self, weight: int) -> Node:
        """Return the node as it stands, without what cannot beat `weight`."""
        return Node(
            self._node.included,
            self._node.banned | self.hopeless(weight),
            tuple(self.cuts),
            self.bound,
            tuple(self._left),
        )

    def hopeless(self, weight: int) -> int:
        """Return steps that no valid set of this node lighter than `weight` has."""
        room = weight - self.bound
        mask = 0
        for i in bits(self._usable):
            if self._left[i] >= room:
                mask |= 1 << i
        return mask & ~self._node.included

    def plan(self) -> int:
        """Return a valid set of free steps from which none can be left out.

        It may lack included steps: a lighter set without them is welcome.
        """
        plan = self._supported()
        self.work += plan.bit_count() ** 2
        return thinned(self._cover, plan)

    def _supported(self) -> int:
        """Return a valid set of free steps, picked way by way.

        For each requirement, a step taken already, else the way that came alive
        first.
        What a step came alive by came alive before it, so an order exists; where
        steps owe one another in a circle it may not, then all is returned.
        """
        turn = self._closure.turn
        last = len(turn)
        taken: set[int] = set()
        pending = [(ways, last) for ways in self._wiring.roots]
        while pending:
            ways, before = pending.pop()
            living = [way for way in ways if turn.get(way, last) < before]
            if not living:
                return self._closure.alive
            if not taken.intersection(living):
                step = min(living, key=turn.__getitem__)
                taken.add(step)
                pending += ((asked, turn[step]) for asked in self._wiring.asks[step])
        plan = mask_of(taken)
        return plan if done_in_order(self._cover, plan) == plan else self._closure.alive

    def branching_step(self, plan: int) -> int:
        """Return the heaviest open step of the plan that shares a landmark.

        There is one: were each landmark hit once, the plan would weigh the bound.
        """
        shared = 0
        for cut in self.cuts:
            hit = cut.mask & plan
            if hit & (hit - 1):
                shared |= hit
        return max(bits(shared), key=self._cover.weights.__getitem__)
