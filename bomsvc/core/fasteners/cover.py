"""The fewest different lengths that serve all groups of a joint, exactly.

A small hitting-set problem: each group accepts some lengths; as few as possible
are bought. Solved by branching on the group with the fewest choices, with ever
more lengths allowed, so that the first answer found uses the fewest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

Lengths = frozenset[Fraction]


def fewest_lengths(
    options: Sequence[Lengths], fixed: Lengths = frozenset()
) -> tuple[Fraction, ...]:
    """Return a length for every group.

    Fewest different lengths over all groups, counting `fixed` as bought already;
    then the least sum of lengths; then the least list in group order.

    Args:
        options: For each group the lengths it accepts; none is empty.
        fixed: Lengths that stated screws of the joint have anyway.
    """
    assert all(options), "a group that nothing fits takes no part"
    common = _common(options, fixed)
    if common is not None:
        return (common,) * len(options)
    uncovered = [accepts for accepts in options if not accepts & fixed]
    count = 0
    while not (sets := set(_covers(uncovered, count))):
        count += 1
    return min(
        (_assignment(options, bought | fixed) for bought in sets),
        key=lambda lengths: (sum(lengths), lengths),
    )


def _common(options: Sequence[Lengths], fixed: Lengths) -> Fraction | None:
    # One length for all is the usual answer, and no other set can be smaller.
    if fixed or not options:
        return None
    shared = frozenset.intersection(*options)
    return min(shared, default=None)


def _assignment(options: Sequence[Lengths], bought: Lengths) -> tuple[Fraction, ...]:
    return tuple(min(accepts & bought) for accepts in options)


def _covers(uncovered: Sequence[Lengths], count: int) -> Iterator[Lengths]:
    """Every set of `count` lengths that gives each group one it accepts.

    No smaller set does: those were looked for before, so nothing is left over.
    """
    if not uncovered:
        yield frozenset()
        return
    if _disjoint(uncovered) > count:
        return
    for length in sorted(_narrowest(uncovered)):
        rest = [accepts for accepts in uncovered if length not in accepts]
        for others in _covers(rest, count - 1):
            yield others | {length}


def _narrowest(uncovered: Sequence[Lengths]) -> Lengths:
    return min(uncovered, key=lambda accepts: len(accepts))


def _disjoint(uncovered: Sequence[Lengths]) -> int:
    """A lower bound: groups that share no length need one each."""
    seen: set[Fraction] = set()
    count = 0
    for accepts in sorted(uncovered, key=len):
        if not accepts & seen:
            seen |= accepts
            count += 1
    return count
