"""Finished comparisons of revisions, kept as bytes."""

from __future__ import annotations

import threading
from collections import OrderedDict

Digests = tuple[str, str]
KEPT = 8
KEPT_BYTES = 32 * 1024 * 1024


class Comparisons:
    """Finished comparisons by their digests, as bytes; safe between threads.

    The latest is kept however large it is: whoever waited for it comes back for it.
    """

    def __init__(self, *, kept: int = KEPT, room: int = KEPT_BYTES) -> None:
        self._most = kept
        self._room = room
        self._guard = threading.Lock()
        self._kept: OrderedDict[Digests, bytes] = OrderedDict()

    def get(self, digests: Digests) -> bytes | None:
        """Return a comparison; None: it is not kept."""
        with self._guard:
            found = self._kept.get(digests)
            if found is not None:
                self._kept.move_to_end(digests)
            return found

    def keep(self, digests: Digests, made: bytes) -> None:
        """Keep a comparison in place of what was kept of these revisions."""
        with self._guard:
            self._kept[digests] = made
            self._kept.move_to_end(digests)
            while len(self._kept) > 1 and self._is_full():
                self._kept.popitem(last=False)

    def _is_full(self) -> bool:
        taken = sum(map(len, self._kept.values()))
        return len(self._kept) > self._most or taken > self._room
