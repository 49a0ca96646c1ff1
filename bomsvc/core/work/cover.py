"""The planning problem in integers, and what is decided without searching.

Steps are bits of Python integers. A set of steps is *valid* when

* every root (a set of alternative steps) has one of its steps in the set,
* every requirement of every step in it likewise, and
* an order exists in which, before each step, one step of each of its `first`
  requirements has been done (no mutual waiting).

Requirements only ever ask for more steps, so the union of two valid sets is valid
and there is a largest one: whether a plan exists is settled without search, and
so is which steps could ever take part (Least models of monotone systems: Dowling
and Gallier, J. Logic Programming 1 (1984); from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

WORD = 64


def bits(mask: int) -> list[int]:
    """Return the numbers of the set bits, ascending."""
    found: list[int] = []
    start = 0
    while mask:
        # Word by word: arithmetic on short integers is several times faster.
        word = mask & _WORD_MASK
        while word:
            low = word & -word
            found.append(start + low.bit_length() - 1)
            word ^= low
        mask >>= WORD
        start += WORD
    return found


_WORD_MASK = (1 << WORD) - 1


def mask_of(numbers: Iterable[int]) -> int:
    """Return the integer whose set bits are these numbers."""
    mask = 0
    for number in numbers:
        mask |= 1 << number
    return mask


@dataclass(frozen=True, slots=True)
class Cover:
    """A least-weight valid set is wanted.

    Attributes:
        minutes: Minutes of each step in whole units, zero or more.
        ranks: Code order of each step, all different.
        steps: The steps that may be chosen.
        first: Per step, masks of which one bit must be done *before* it.
        owed: Per step, masks of which one bit must be done at any time.
        roots: Masks of which one bit must be done.
    """

    minutes: tuple[int, ...]
    ranks: tuple[int, ...]
    steps: int
    first: tuple[tuple[int, ...], ...]
    owed: tuple[tuple[int, ...], ...]
    roots: tuple[int, ...]
    weights: tuple[int, ...] = field(init=False)
    """Positive; they rank sets of `steps` by minutes, then count, then code order,
    and no two sets weigh the same."""
    every: tuple[tuple[int, ...], ...] = field(init=False)
    """`first` and `owed` together, per step, without repetition."""
    unit: int = field(init=False)
    """Weight of one unit of minutes: `weight // unit` is a set's minutes."""

    def __post_init__(self) -> None:
        together = (
            tuple(dict.fromkeys(f + o))
            for f, o in zip(self.first, self.owed, strict=True)
        )
        object.__setattr__(self, "every", tuple(together))
        count = self.steps.bit_count()
        object.__setattr__(self, "unit", (count + 1) << (count + 1))
        object.__setattr__(self, "weights", self._ranked_weights(count))

    def _ranked_weights(self, count: int) -> tuple[int, ...]:
        """Weigh each step: minutes, one for the count, less a bit for code order.

        Of two sets with equal minutes and count, the one with the first step (in
        code order) that the other lacks has the larger bits taken off, so it is
        the lighter.
        """
        weights = [0] * len(self.minutes)
        ordered = sorted(bits(self.steps), key=self.ranks.__getitem__)
        for place, i in enumerate(ordered):
            one = 1 << (count + 1)
            weights[i] = self.minutes[i] * self.unit + one - (1 << (count - place))
        return tuple(weights)

    @property
    def size(self) -> int:
        """How many steps are numbered."""
        return len(self.minutes)

    def weight(self, chosen: int) -> int:
        """Return the total weight of a set."""
        return sum(self.weights[i] for i in bits(chosen))

    def meets_roots(self, chosen: int) -> bool:
        """Whether every root has a step in the set."""
        return all(root & chosen for root in self.roots)


@dataclass(frozen=True, slots=True)
class Removal:
    """Steps left in no valid set within some steps, and why each went.

    `alive`: the largest valid set; `witness`: per removed step, the requirement
    that none of the remaining steps meets.
    """

    alive: int
    witness: dict[int, int]


def largest_valid(cover: Cover, within: int, known: int = 0) -> Removal:
    """Return the largest set within `within` valid but perhaps for the roots.

    `known` is a part of it known to be valid. The witness of a removed step is met
    by none but steps outside `within`, steps removed before it, and steps that wait
    on one another with it.
    """
    alive = within
    witness: dict[int, int] = {}
    while True:
        gone = _unpaid(cover.owed, alive, alive & ~known, witness)
        if gone:
            alive &= ~gone
            continue
        done = _done(cover.first, alive, known, witness)
        if done == alive:
            return Removal(alive, witness)
        alive = done


def _unpaid(
    owed: tuple[tuple[int, ...], ...], alive: int, asked: int, witness: dict[int, int]
) -> int:
    """Return those of the steps asked about that are owed what is not alive."""
    gone = 0
    for i in bits(asked):
        for mask in owed[i]:
            if not mask & alive:
                gone |= 1 << i
                witness[i] = mask
                break
    return gone


def done_in_order(cover: Cover, steps: int) -> int:
    """Return the steps of a set that can be done one after another."""
    return _done(cover.first, steps, 0, {})


def _done(
    first: tuple[tuple[int, ...], ...], alive: int, done: int, witness: dict[int, int]
) -> int:
    waiting = list(bits(alive & ~done))
    while waiting:
        blocked: list[int] = []
        for i in waiting:
            for mask in first[i]:
                if not mask & done:
                    blocked.append(i)
                    break
            else:
                done |= 1 << i
        if len(blocked) == len(waiting):
            break
        waiting = blocked
    for i in waiting:
        witness[i] = next(mask for mask in first[i] if not mask & done)
    return done


def landmark(root: int, usable: int, free: int, witness: Mapping[int, int]) -> int:
    """Return a set of steps of which every valid set has one.

    From the unmet root, and from the unmet requirement (`witness`) of each free
    step that could meet it, collect the usable steps that are not free. A plan
    without any of them would have to meet the root by a free step, that step's
    requirement by another, and so on in a circle, which no order allows. An empty
    set: there is no valid set.
    """
    cut = 0
    seen = 0
    pending = [root]
    while pending:
        mask = pending.pop() & usable
        cut |= mask & ~free
        new = mask & free & ~seen
        seen |= new
        pending += (witness[i] for i in bits(new))
    return cut


def thinned(cover: Cover, plan: int) -> int:
    """Return a valid set within a valid set from which no step can be left out.

    The heaviest that can be is left out first.
    """
    for i in sorted(bits(plan), key=cover.weights.__getitem__, reverse=True):
        bit = 1 << i
        if plan & bit and all(root & plan != bit for root in cover.roots):
            smaller = largest_valid(cover, plan & ~bit).alive
            if cover.meets_roots(smaller):
                plan = smaller
    return plan


def forced_steps(cover: Cover, alive: int) -> int:
    """Return steps that every valid set within `alive` has, by unit propagation."""
    forced = 0
    pending = list(cover.roots)
    while pending:
        mask = pending.pop() & alive
        if mask & (mask - 1) or mask & forced:
            continue
        forced |= mask
        pending += cover.every[mask.bit_length() - 1]
    return forced


def reachable(cover: Cover, alive: int, start: Iterable[int]) -> int:
    """Return the steps that some chain of requirements asks for."""
    seen = 0
    pending = list(start)
    while pending:
        new = pending.pop() & alive & ~seen
        seen |= new
        for i in bits(new):
            pending += cover.every[i]
    return seen


def components(cover: Cover, alive: int, forced: int) -> list[tuple[int, list[int]]]:
    """Split what is open into independent parts: (steps, unmet roots) each.

    Roots are the cover's and the forced steps' requirements that no forced step
    meets. Two steps belong together where one requirement names both or one asks
    for the other.
    """
    unmet = _unmet(cover, alive, forced)
    open_steps = reachable(cover, alive & ~forced, unmet)
    groups = _grouped(cover, open_steps, forced, unmet)
    return [(g, [m for m in unmet if m & g]) for g in groups]


def _unmet(cover: Cover, alive: int, forced: int) -> list[int]:
    masks = list(cover.roots)
    for i in bits(forced):
        masks += cover.every[i]
    found = dict.fromkeys(m & alive for m in masks if not m & forced)
    return list(found)


def _grouped(cover: Cover, steps: int, forced: int, unmet: list[int]) -> list[int]:
    """Join the masks that share steps, ordered by their lowest step."""
    joined = list(unmet)
    for i in bits(steps):
        joined.append(1 << i)
        joined += ((m & steps) | 1 << i for m in cover.every[i] if not m & forced)
    groups: list[int] = []
    for mask in joined:
        apart = [g for g in groups if not g & mask]
        for g in groups:
            if g & mask:
                mask |= g
        groups = [*apart, mask]
    return sorted(groups, key=lambda g: g & -g)


def part_of(cover: Cover, steps: int, met: int, roots: Iterable[int]) -> Cover:
    """Return the problem of choosing within `steps`, with `met` done beforehand.

    Step numbers stay; requirements that a step of `met` meets are dropped.
    """

    def kept(masks: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(m & steps for m in masks if not m & met)

    inside = [bool(steps >> i & 1) for i in range(cover.size)]
    first = zip(cover.first, inside, strict=True)
    owed = zip(cover.owed, inside, strict=True)
    return replace(
        cover,
        steps=steps,
        first=tuple(kept(masks) if i else () for masks, i in first),
        owed=tuple(kept(masks) if i else () for masks, i in owed),
        roots=tuple(dict.fromkeys(root & steps for root in roots)),
    )
