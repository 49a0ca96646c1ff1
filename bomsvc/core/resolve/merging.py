"""Several cases' work as one order that none of them contradicts.

What a case has in order for a reason (a part in the way, a step that waits) binds
first, over all cases; then each case's own order as it stands, the first case first.
Where cases contradict one another the earlier one decides.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations, pairwise

from bomsvc.core.logic.standing import Key
from bomsvc.core.work.values import StepDone


def merged_order(
    sequences: Sequence[Sequence[StepDone]], ranks: Mapping[Key, int]
) -> list[Key]:
    """The steps of all sequences, each once.

    Args:
        sequences: Per case the entries of one phase, in order.
        ranks: What comes first where no case says so.
    """
    keys = sorted({s.key for each in sequences for s in each}, key=ranks.__getitem__)
    order = _Before(keys)
    for sequence in sequences:
        for step in sequence:
            order.add_all((earlier, step.key) for earlier in step.waits_for)
    for sequence in sequences:
        own = [step.key for step in sequence]
        if not order.add_all(pairwise(own)):
            order.add_all(combinations(own, 2))
    return order.sequence()


class _Before:
    """Which keys come before which, closed under "before", never in a circle."""

    def __init__(self, keys: Sequence[Key]) -> None:
        self._keys = keys
        self._number = {key: number for number, key in enumerate(keys)}
        self._after = [0] * len(keys)

    def add_all(self, pairs: Iterable[tuple[Key, Key]]) -> bool:
        """Add each pair that contradicts nothing; False: some pair did."""
        refused = [p for p in pairs if not self._add(*map(self._number.__getitem__, p))]
        return not refused

    def _add(self, first: int, second: int) -> bool:
        if self._after[second] >> first & 1:
            return False
        if not self._after[first] >> second & 1:
            later = self._after[second] | 1 << second
            for number, after in enumerate(self._after):
                if number == first or after >> first & 1:
                    self._after[number] = after | later
        return True

    def sequence(self) -> list[Key]:
        """The keys in order, of those that may come next always the first."""
        left = (1 << len(self._keys)) - 1
        found: list[Key] = []
        while left:
            number = next(n for n in range(len(self._keys)) if self._free(n, left))
            found.append(self._keys[number])
            left &= ~(1 << number)
        return found

    def _free(self, number: int, left: int) -> bool:
        """Whether the key is left and none of those left comes before it."""
        if not left >> number & 1:
            return False
        bit = 1 << number
        return not any(
            after & bit for n, after in enumerate(self._after) if left >> n & 1
        )
