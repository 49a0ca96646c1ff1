"""Least sets of statements to give up, in a fixed order, by verdicts alone.

A set of statements restores a build exactly when it meets every irreducible
conflict. Conflicts are found as they are needed (R. Reiter, "A theory of diagnosis
from first principles", Artificial Intelligence 32, 1987), and the sets of one size
are walked in an order that spares the more trusted statements.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from bomsvc.core.logic.budget import Unsettled
from bomsvc.core.logic.quickxplain import irreducible

Holds = Callable[[Sequence[int]], bool]
Chosen = frozenset[int]


def least_repairs(
    count: int, holds: Holds, *, most: int, nodes: int
) -> tuple[tuple[int, ...], ...]:
    """Return the least-sized sets of items to drop so that the rest holds.

    Args:
        count: Items are 0..count-1, the one to give up most readily first.
        holds: Whether the items with these indexes can hold together.
        most: At most so many sets, the first in order: the dearest item dropped
            is as cheap as can be, then the next dearest, and so on.
        nodes: Search nodes before giving up.

    Returns:
        All least sets up to `most`, each verified; () when even dropping every
        item does not help. ((),) when nothing need be dropped.

    Raises:
        Unsettled: The nodes ran out.
    """
    if not holds(()):
        return ()
    search = _Search(count, holds, nodes)
    for size in range(count + 1):
        found = search.of_size(size, most)
        if found:
            return found
    raise AssertionError("dropping everything holds")


class _Search:
    def __init__(self, count: int, holds: Holds, nodes: int) -> None:
        self._count = count
        self._holds = holds
        self._nodes = nodes
        self._conflicts: list[Chosen] = []

    def of_size(self, size: int, most: int) -> tuple[tuple[int, ...], ...]:
        found: list[tuple[int, ...]] = []
        for dropped in self._hitting(size, self._count, frozenset()):
            if self._verified(dropped):
                found.append(tuple(sorted(dropped)))
                if len(found) == most:
                    break
        return tuple(found)

    def _verified(self, dropped: Chosen) -> bool:
        """Return whether the rest holds; if not, learn a conflict within it."""
        if any(dropped.isdisjoint(conflict) for conflict in self._conflicts):
            return False
        rest = [index for index in range(self._count) if index not in dropped]
        if self._holds(rest):
            return True
        conflict = irreducible(rest, lambda kept: not self._holds(kept))
        self._conflicts.append(frozenset(conflict))
        return False

    def _hitting(self, size: int, below: int, dropped: Chosen) -> Iterator[Chosen]:
        """Yield sets that meet the conflicts known so far, dearest item least first.

        New conflicts may come in while the caller looks at a set.
        """
        self._nodes -= 1
        if self._nodes < 0:
            raise Unsettled
        if size == 0:
            yield dropped
            return
        for dearest in range(size - 1, below):
            more = dropped | {dearest}
            if self._can_be_met(size - 1, dearest, more):
                yield from self._hitting(size - 1, dearest, more)

    def _can_be_met(self, size: int, below: int, dropped: Chosen) -> bool:
        """Return False when `size` items under `below` cannot meet what is unmet."""
        disjoint: list[Chosen] = []
        for conflict in self._conflicts:
            if conflict.isdisjoint(dropped):
                usable = frozenset(index for index in conflict if index < below)
                if not usable:
                    return False
                if all(usable.isdisjoint(other) for other in disjoint):
                    disjoint.append(usable)
        return len(disjoint) <= size
