"""The planner's own exact search: branch and bound on landmarks.

At each node the bound is raised (see `ascent`) until the steps with no weight
remaining hold a valid set; a plan is read off it, and where the plan weighs more
than the bound one of its steps is branched on. Steps that cannot be part of
anything lighter than the best plan are left out from there on.

Weights rank sets by minutes, then count, then code order, and no two sets weigh
the same: the answer does not depend on the way it was found.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from bomsvc.core.work.ascent import Ascent, Node
from bomsvc.core.work.closure import wire
from bomsvc.core.work.cover import Cover, bits


@dataclass(frozen=True, slots=True)
class Found:
    """The best set known and what is proven of the least weight.

    `chosen` None: no valid set is known, and when `proven`, there is none.
    """

    chosen: int | None
    weight: int
    bound: int
    proven: bool


class Search:
    """Least-weight valid sets of one cover, and the runner-up.

    Args:
        cover: The problem.
        budget: Steps looked at, counted, before an answer is given unproven.
    """

    def __init__(self, cover: Cover, budget: int) -> None:
        self._cover = cover
        self._wiring = wire(cover)
        self._budget = budget
        self._work = 0
        self._best: int | None = None
        self._best_weight = -1
        self._root = Node.root(cover)
        self._first_plan = self._rise_once()

    def _rise_once(self) -> int:
        """Raise the bound of the whole problem; both searches start from there."""
        ascent = Ascent(self._cover, self._wiring, self._root)
        risen = ascent.rise(self._beaten)
        assert risen, "a search without a valid set"
        self._root = ascent.node(self._cover.weight(self._cover.steps) * 2)
        self.hopeless = ascent.hopeless
        return ascent.plan()

    @property
    def landmarks(self) -> tuple[int, ...]:
        """Sets of steps of which every valid set has one."""
        return tuple(cut.mask for cut in self._root.cuts)

    def best(self) -> Found:
        """Return the least-weight valid set."""
        known = self._first_plan
        hopeless = self.hopeless(self._cover.weight(known))
        return self._run([self._root.without(hopeless)], known)

    def without_some_of(self, chosen: int) -> Found:
        """Return the least-weight valid set that does not hold all of `chosen`."""
        starts = []
        node = self._root
        for i in sorted(bits(chosen), key=self._cover.weights.__getitem__):
            starts.append(node.without(1 << i))
            node = node.with_step(i)
        return self._run(starts)

    def _run(self, pending: list[Node], known: int | None = None) -> Found:
        """Search these nodes for something lighter than what is known."""
        self._best = known
        self._best_weight = -1 if known is None else self._cover.weight(known)
        self._work = 0
        while pending:
            if self._work > self._budget:
                return self._out_of_budget(pending)
            node = pending.pop()
            if not self._beaten(node.bound):
                pending += self._explore(node)
        weight = self._best_weight
        return Found(self._best, weight, weight, proven=True)

    def _out_of_budget(self, pending: Iterable[Node]) -> Found:
        bound = min(node.bound for node in pending)
        if self._best is not None:
            bound = min(bound, self._best_weight)
        return Found(self._best, self._best_weight, bound, proven=False)

    def _beaten(self, bound: int) -> bool:
        return 0 <= self._best_weight <= bound

    def _explore(self, node: Node) -> list[Node]:
        """Bound a node, note the plan it yields, return its branches."""
        ascent = Ascent(self._cover, self._wiring, node)
        risen = ascent.rise(self._beaten)
        self._work += ascent.work
        if not risen:
            return []
        plan = ascent.plan()
        weight = self._cover.weight(plan)
        if not self._beaten(weight):
            self._best, self._best_weight = plan, weight
        if weight <= ascent.bound or self._beaten(ascent.bound):
            return []
        step = ascent.branching_step(plan)
        reached = ascent.node(self._best_weight)
        without = reached.without(1 << step)
        if reached.banned >> step & 1:
            return [without]
        return [reached.with_step(step), without]
