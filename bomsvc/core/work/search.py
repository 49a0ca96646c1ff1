"""The planner's own exact search: branch and bound on landmark cuts.

Every valid set has a step of each *landmark* (see `cover.landmark`). Spending the
least remaining weight of a landmark on the bound and taking it off all its steps
keeps "weight of any valid set >= bound + what remains of its steps" true, so the
bound only rises (dual ascent: Wong, Mathematical Programming 28 (1984); landmark
cuts in planning: Helmert and Domshlak, ICAPS 2009; from memory). When the steps
with nothing remaining hold a valid set, a plan is read off it; where the plan
weighs more than the bound, one of its steps is branched on.

Weights rank sets by minutes, then count, then code order, and no two sets weigh
the same: the answer does not depend on the way it was found.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from bomsvc.core.work.cover import (
    Cover,
    Removal,
    bits,
    done_in_order,
    landmark,
    largest_valid,
)

ROOTS_COMPARED = 6
"""Unmet roots whose landmarks are compared before one is spent."""

Cut = tuple[int, int]
"""A landmark and what was spent on it."""


@dataclass(frozen=True, slots=True)
class Found:
    """The best set known and what is proven of the least weight.

    `chosen` None: no valid set is known, and when `proven`, there is none.
    """

    chosen: int | None
    weight: int
    bound: int
    proven: bool


@dataclass(frozen=True, slots=True)
class _Node:
    """A part of the search: steps in, steps out, the cuts spent so far."""

    included: int
    banned: int
    cuts: tuple[Cut, ...]
    bound: int


class Search:
    """Least-weight valid sets of one cover, and the runner-up."""

    def __init__(self, cover: Cover, node_budget: int) -> None:
        self._cover = cover
        self._budget = node_budget
        self._best: int | None = None
        self._best_weight = -1
        self._root = _Node(0, 0, (), 0)
        self._root_left: dict[int, int] = {}

    def best(self) -> Found:
        """Return the least-weight valid set."""
        ascent = _Ascent(self._cover, self._root)
        if ascent.rise(self._beaten):
            self._root = _Node(0, 0, tuple(ascent.cuts), ascent.bound)
        self._root_left = ascent.left
        return self._run([self._root])

    def without_some_of(self, chosen: int) -> Found:
        """Return the least-weight valid set that does not hold all of `chosen`."""
        starts = []
        included = 0
        for i in sorted(bits(chosen), key=self._cover.weights.__getitem__):
            starts.append(_within(self._cover, self._root, included, 1 << i))
            included |= 1 << i
        return self._run(starts)

    def promising(self, found: Found) -> int:
        """Return the steps that a set lighter than the one found may have."""
        if found.chosen is None:
            return self._cover.steps
        room = found.weight - self._root.bound
        return found.chosen | sum(
            1 << i for i, left in self._root_left.items() if left <= room
        )

    def _run(self, pending: list[_Node]) -> Found:
        self._best, self._best_weight = None, -1
        for _ in range(self._budget):
            if not pending:
                weight = self._best_weight
                return Found(self._best, weight, weight, proven=True)
            node = pending.pop()
            if not self._beaten(node.bound):
                pending += self._explore(node)
        return self._out_of_budget(pending)

    def _out_of_budget(self, pending: Iterable[_Node]) -> Found:
        bound = min((node.bound for node in pending), default=self._best_weight)
        if self._best is not None:
            bound = min(bound, self._best_weight)
        return Found(self._best, self._best_weight, bound, proven=not pending)

    def _beaten(self, bound: int) -> bool:
        return 0 <= self._best_weight <= bound

    def _explore(self, node: _Node) -> list[_Node]:
        """Bound a node, note the plan it yields, return its branches."""
        ascent = _Ascent(self._cover, node)
        if not ascent.rise(self._beaten):
            return []
        plan = ascent.plan()
        weight = self._cover.weight(plan)
        if not self._beaten(weight):
            self._best, self._best_weight = plan, weight
        if weight <= ascent.bound or self._beaten(ascent.bound):
            return []
        bit = 1 << ascent.branching_step(plan)
        reached = _Node(node.included, node.banned, tuple(ascent.cuts), ascent.bound)
        return [
            _within(self._cover, reached, bit, 0),
            _within(self._cover, reached, 0, bit),
        ]


def _within(cover: Cover, node: _Node, include: int, ban: int) -> _Node:
    """Return the part of a node with these steps in and out.

    What was spent on a landmark that an included step meets is given back.
    """
    kept = tuple(cut for cut in node.cuts if not cut[0] & include)
    included = node.included | include
    bound = sum(spent for _, spent in kept) + cover.weight(included)
    return _Node(included, node.banned | ban, kept, bound)


class _Ascent:
    """Raises the bound of one node by spending on landmarks."""

    def __init__(self, cover: Cover, node: _Node) -> None:
        self._cover = cover
        self._usable = cover.steps & ~node.banned
        self._included = node.included
        self.bound = node.bound
        self.cuts = list(node.cuts)
        self.left = {i: cover.weights[i] for i in bits(self._usable)}
        for i in bits(self._included):
            self.left[i] = 0
        for cut, spent in self.cuts:
            for i in bits(cut & self._usable):
                self.left[i] -= spent
        self._free = sum(1 << i for i, left in self.left.items() if not left)
        self._alive = 0

    def rise(self, beaten: Callable[[int], bool]) -> bool:
        """Spend until the free steps hold a valid set; False: not worth while.

        That is when no valid set is left, or the bound is beaten.
        """
        while not beaten(self.bound):
            removal = largest_valid(self._cover, self._free)
            if self._cover.meets_roots(removal.alive):
                self._alive = removal.alive
                return True
            if not self._spend(removal):
                return False
        return False

    def _spend(self, removal: Removal) -> bool:
        """Spend on the smallest landmark seen; False: no valid set is left."""
        unmet = [r for r in self._cover.roots if not r & removal.alive]
        cuts = (
            landmark(self._cover, removal, root, self._free, ~self._usable)
            for root in unmet[:ROOTS_COMPARED]
        )
        cut = min(cuts, key=int.bit_count)
        if not cut:
            return False
        spent = min(self.left[i] for i in bits(cut))
        self.bound += spent
        self.cuts.append((cut, spent))
        for i in bits(cut):
            self.left[i] -= spent
            if not self.left[i]:
                self._free |= 1 << i
        return True

    def plan(self) -> int:
        """Return a valid set of free steps from which none can be left out.

        It may lack included steps: a lighter set without them is welcome.
        """
        plan = self._supported()
        for i in sorted(bits(plan), key=lambda i: -self._cover.weights[i]):
            if plan >> i & 1:
                smaller = largest_valid(self._cover, plan & ~(1 << i)).alive
                if self._cover.meets_roots(smaller):
                    plan = smaller
        return plan

    def _supported(self) -> int:
        """Return a closed set of free steps, picked way by way."""
        cover, alive = self._cover, self._alive
        plan = 0
        pending = list(cover.roots)
        while pending:
            mask = pending.pop() & alive
            if mask & plan:
                continue
            step = min(bits(mask), key=cover.weights.__getitem__)
            plan |= 1 << step
            pending += cover.every[step]
        return plan if done_in_order(cover.first, plan, {}) == plan else alive

    def branching_step(self, plan: int) -> int:
        """Return the heaviest open step of the plan that shares a landmark.

        There is one: were each landmark hit once, the plan would weigh the bound.
        """
        shared = 0
        for cut, _ in self.cuts:
            hit = cut & plan
            if hit & (hit - 1):
                shared |= hit
        return max(bits(shared), key=self._cover.weights.__getitem__)
