"""Compiled revisions, kept by digest: made once, shared by every request."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable

from bomsvc.core.catalogue import Catalogue
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner

KEPT = 8
"""Revisions kept compiled; one of 50,000 fitments takes some 60 MB."""


def make_reasoner(catalogue: Catalogue) -> Reasoner:
    """Compile a catalogue for reasoning."""
    return Reasoner(compile_catalogue(catalogue))


class Reasoners:
    """The least recently used beyond `kept` is let go.

    Compiling takes long on a large family, so requests for the same digest wait for
    one compilation, and requests for others do not wait at all.
    """

    def __init__(
        self,
        *,
        kept: int = KEPT,
        make: Callable[[Catalogue], Reasoner] = make_reasoner,
    ) -> None:
        self._kept = kept
        self._make = make
        self._guard = threading.Lock()
        self._ready: OrderedDict[str, Reasoner] = OrderedDict()
        self._making: dict[str, threading.Lock] = {}

    def compiled_for(self, digest: str, load: Callable[[], Catalogue]) -> Reasoner:
        """Return the reasoner of the revision with this digest.

        Args:
            digest: The revision's digest.
            load: Reads its catalogue; called only where it is not compiled yet.
        """
        with self._guard:
            if (ready := self._find(digest)) is not None:
                return ready
            turn = self._making.setdefault(digest, threading.Lock())
        with turn:
            return self._made(digest, load)

    def peek(self, digest: str) -> Reasoner | None:
        """Return the reasoner where it is at hand, else None."""
        with self._guard:
            return self._find(digest)

    def _made(self, digest: str, load: Callable[[], Catalogue]) -> Reasoner:
        with self._guard:
            if (ready := self._find(digest)) is not None:
                return ready
        try:
            reasoner = self._make(load())
        finally:
            with self._guard:
                self._making.pop(digest, None)
        with self._guard:
            self._ready[digest] = reasoner
            while len(self._ready) > self._kept:
                self._ready.popitem(last=False)
        return reasoner

    def _find(self, digest: str) -> Reasoner | None:
        reasoner = self._ready.get(digest)
        if reasoner is not None:
            self._ready.move_to_end(digest)
        return reasoner
