"""Which of the free steps can be done by themselves: kept up as steps become free.

A growing set of steps is *free*. Of these, `alive` is the largest valid set (see
`cover`), kept up to date: a step whose requirements are all met by steps alive is
alive. Where steps owe one another in a circle that alone would find too few; then
the free steps that are left are tried together (`cover.largest_valid`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from bomsvc.core.work.cover import Cover, bits, largest_valid, mask_of

Ways = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Wiring:
    """A cover turned round for propagation.

    Attributes:
        roots: The ways of each root.
        asks: Per step, the ways of each of its requirements.
        meets: Per step, the (step, number of its requirement) that it meets.
        circular: Some step owes a step which, by some way, asks for it.
    """

    roots: tuple[Ways, ...]
    asks: tuple[tuple[Ways, ...], ...]
    meets: tuple[tuple[tuple[int, int], ...], ...]
    circular: bool


def wire(cover: Cover) -> Wiring:
    """Turn a cover round."""
    asks = tuple(
        tuple(tuple(bits(mask & cover.steps)) for mask in masks)
        for masks in cover.every
    )
    meets: list[list[tuple[int, int]]] = [[] for _ in range(cover.size)]
    for i in bits(cover.steps):
        for number, ways in enumerate(asks[i]):
            for way in ways:
                meets[way].append((i, number))
    return Wiring(
        roots=tuple(tuple(bits(root)) for root in cover.roots),
        asks=asks,
        meets=tuple(map(tuple, meets)),
        circular=_owes_in_a_circle(cover),
    )


def _owes_in_a_circle(cover: Cover) -> bool:
    """Whether some owed requirement stays within a strongly connected part."""
    if not any(cover.owed[i] for i in bits(cover.steps)):
        return False
    part = _connected_parts(cover)
    return any(
        part[i] == part[way]
        for i in bits(cover.steps)
        for mask in cover.owed[i]
        for way in bits(mask & cover.steps)
    )


def _connected_parts(cover: Cover) -> dict[int, int]:
    """Number the strongly connected parts: Kosaraju's two sweeps."""
    ahead = {
        i: {w for mask in cover.every[i] for w in bits(mask & cover.steps)}
        for i in bits(cover.steps)
    }
    behind: dict[int, set[int]] = defaultdict(set)
    for i, ways in ahead.items():
        for way in ways:
            behind[way].add(i)
    finished: list[int] = []
    _sweep(ahead, ahead, lambda step, _: finished.append(step))
    part: dict[int, int] = {}
    _sweep(reversed(finished), behind, part.__setitem__)
    return part


def _sweep(
    starts: Iterable[int],
    edges: Mapping[int, Iterable[int]],
    leave: Callable[[int, int], object],
) -> None:
    """Walk depth first from each start; tell of each step left, and its start."""
    seen: set[int] = set()
    for start in starts:
        if start in seen:
            continue
        seen.add(start)
        path = [(start, iter(sorted(edges[start])))]
        while path:
            step, onward = path[-1]
            following = next((n for n in onward if n not in seen), None)
            if following is None:
                path.pop()
                leave(step, start)
            else:
                seen.add(following)
                path.append((following, iter(sorted(edges[following]))))


class Closure:
    """The free steps of one node of the search, and those alive among them.

    `usable`: the steps that may become free.
    """

    def __init__(self, cover: Cover, wiring: Wiring, usable: int) -> None:
        self._cover = cover
        self._wiring = wiring
        self._usable = _flags(usable, cover.size)
        self._free = bytearray(cover.size)
        self._living: set[int] = set()
        self._unmet = [len(asked) for asked in wiring.asks]
        self._met: set[tuple[int, int]] = set()
        self._witness: dict[int, Ways] = {}
        self.turn: dict[int, int] = {}
        """When each living step came alive: earlier is nearer the outside."""

    @property
    def alive(self) -> int:
        """The living steps."""
        return mask_of(self.turn)

    def meets(self, ways: Ways) -> bool:
        """Whether a living step is among these."""
        return not self._living.isdisjoint(ways)

    def add(self, steps: Iterable[int]) -> None:
        """Make steps free and bring alive all that can be."""
        ready = []
        for i in steps:
            self._free[i] = 1
            if not self._unmet[i]:
                ready.append(i)
        self._spread(ready)
        if self._wiring.circular:
            self._try_together()

    def landmark(self, root: Ways) -> tuple[list[int], int]:
        """Return the landmark of an unmet root (see `cover`) and the work it took."""
        free, usable = self._free, self._usable
        cut: list[int] = []
        seen: set[int] = set()
        pending = [root]
        while pending:
            for i in pending.pop():
                if usable[i] and i not in seen:
                    seen.add(i)
                    if free[i]:
                        pending.append(self._unmet_ways(i))
                    else:
                        cut.append(i)
        return cut, len(seen)

    def _unmet_ways(self, step: int) -> Ways:
        """Return a requirement of a free step not alive that no living step meets."""
        none_lives = self._living.isdisjoint
        known = self._witness.get(step)
        if known is not None and none_lives(known):
            return known
        assert not self._wiring.circular, "a free step left without a witness"
        ways = next(ways for ways in self._wiring.asks[step] if none_lives(ways))
        self._witness[step] = ways
        return ways

    def _spread(self, ready: list[int]) -> None:
        free, living, unmet, met = self._free, self._living, self._unmet, self._met
        meets = self._wiring.meets
        while ready:
            i = ready.pop()
            if i in living:
                continue
            living.add(i)
            self.turn[i] = len(self.turn)
            for slot in meets[i]:
                if slot not in met:
                    met.add(slot)
                    waiting = slot[0]
                    unmet[waiting] -= 1
                    if not unmet[waiting] and free[waiting]:
                        ready.append(waiting)

    def _try_together(self) -> None:
        free = mask_of(i for i, is_free in enumerate(self._free) if is_free)
        alive = self.alive
        removal = largest_valid(self._cover, free, alive)
        self._witness = {
            i: tuple(bits(mask & self._cover.steps))
            for i, mask in removal.witness.items()
        }
        self._spread(bits(removal.alive & ~alive))


def _flags(mask: int, size: int) -> bytearray:
    flags = bytearray(size)
    for i in bits(mask):
        flags[i] = 1
    return flags
