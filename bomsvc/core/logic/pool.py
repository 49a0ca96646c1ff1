"""A pool of known valid builds, as bits: cheap witnesses that something can be.

A build in the pool proves that its literals are possible. The pool only saves
solver calls; what it holds never changes an answer.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Words = NDArray[np.uint64]
_WORD = 64
_ALL = np.uint64((1 << 64) - 1)


def places_in(mask: Words) -> NDArray[np.intp]:
    """Return the places of the masked builds, rising."""
    return np.flatnonzero(_unpacked(mask))


def _unpacked(words: Words) -> NDArray[np.bool_]:
    little = np.ascontiguousarray(words).astype("<u8", copy=False).view(np.uint8)
    return np.unpackbits(little, axis=-1, bitorder="little").astype(np.bool_)


class Pool:
    """At most `capacity` builds; a full pool forgets the oldest first.

    `bits[v, w]` holds variable `v` for builds `64 w .. 64 w + 63`. Capacity is a
    multiple of 64.
    """

    def __init__(self, core: int, capacity: int = 1024) -> None:
        self._capacity = capacity
        self._core = core
        self._bits = np.zeros((core + 1, capacity // _WORD), dtype=np.uint64)
        self._used = np.zeros(capacity // _WORD, dtype=np.uint64)
        self._next = 0

    def add(self, values: NDArray[np.bool_]) -> None:
        """Remember a build given by its core values (index 0 unused)."""
        word, bit = divmod(self._next, _WORD)
        flag = np.uint64(1 << bit)
        column = self._bits[:, word]
        column &= ~flag
        column |= values * flag
        self._used[word] |= flag
        self._next = (self._next + 1) % self._capacity

    def add_all(self, values: NDArray[np.bool_]) -> None:
        """Remember builds, one per column; their number is a multiple of 64."""
        packed = np.packbits(values, axis=1, bitorder="little").view("<u8")
        for index in range(packed.shape[1]):
            word = -(-self._next // _WORD) % len(self._used)
            self._bits[:, word] = packed[:, index]
            self._used[word] = _ALL
            self._next = (word + 1) * _WORD % self._capacity

    def unpacked(self) -> NDArray[np.bool_]:
        """Return variables by builds, whether or not a place is used."""
        return _unpacked(self._bits)

    def blank(self) -> NDArray[np.bool_]:
        """Return a False for every core variable and for index 0."""
        return np.zeros(self._core + 1, dtype=np.bool_)

    def matching(self, lits: Sequence[int]) -> Words:
        """Return which builds agree with all core literals, a bit each."""
        signed = np.array(lits, dtype=np.intp)
        held = self._bits[signed[signed > 0]]
        failed = self._bits[-signed[signed < 0]]
        mask: Words = self._used & np.bitwise_and.reduce(held, axis=0)
        mask &= ~np.bitwise_or.reduce(failed, axis=0)
        return mask

    def agreeing(
        self, owners: NDArray[np.intp], lits: NDArray[np.intp], count: int
    ) -> Words:
        """Return, per owner 0..count-1, which builds have all the owner's literals.

        `owners` is rising, one for each literal.
        """
        masks = np.repeat(self._used[None], count, axis=0)
        if len(lits):
            bits = self._bits[np.abs(lits)]
            bits[lits < 0] ^= _ALL
            starts = np.flatnonzero(np.diff(owners, prepend=-1))
            masks[owners[starts]] &= np.bitwise_and.reduceat(bits, starts, axis=0)
        return masks

    def seen_by(self, masks: Words) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Return whether some build has each variable true, false.

        `masks`: one row per variable (more are ignored), the builds that count.
        """
        some = masks[: self._core + 1]
        held = self._bits & some
        return (held != 0).any(axis=1), (held != some).any(axis=1)

    def words(self, mask: Words, most: int = 4) -> tuple[Words, Words]:
        """Return core values and mask, restricted to at most `most` used words."""
        words = np.flatnonzero(mask)[-most:]
        return self._bits[:, words], mask[words]
