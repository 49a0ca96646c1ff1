"""Irreducible conflicts, found by verdicts alone in a fixed order.

QuickXplain: U. Junker, "QUICKXPLAIN: preferred explanations and relaxations for
over-constrained problems", AAAI 2004.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

Item = TypeVar("Item")


def irreducible(
    items: Sequence[Item], fails: Callable[[Sequence[Item]], bool]
) -> tuple[Item, ...]:
    """Return an irreducible sub-sequence of `items` that still fails.

    Args:
        items: They fail together. Earlier items are kept rather than later ones:
            the last item kept is as early as it can be, then the one before it.
        fails: Whether a choice of the items cannot hold together; adding items
            never makes failing items hold.

    Returns:
        The kept items in the order given; () when nothing at all already fails.
    """
    if fails(()):
        return ()
    kept = set(_conflict((), range(len(items)), items, fails))
    return tuple(item for index, item in enumerate(items) if index in kept)


def _conflict(
    given: Sequence[int],
    rest: Sequence[int],
    items: Sequence[Item],
    fails: Callable[[Sequence[Item]], bool],
) -> list[int]:
    """Return indexes of `rest` needed beside `given`, which alone does not fail."""
    if len(rest) <= 1:
        return list(rest)
    half = len(rest) // 2
    early, late = rest[:half], rest[half:]
    later = _needed([*given, *early], late, items, fails)
    if not later:
        return _conflict(given, early, items, fails)
    earlier = _needed([*given, *later], early, items, fails)
    return earlier + later


def _needed(
    given: Sequence[int],
    rest: Sequence[int],
    items: Sequence[Item],
    fails: Callable[[Sequence[Item]], bool],
) -> list[int]:
    if fails([items[index] for index in given]):
        return []
    return _conflict(given, rest, items, fails)
