"""Replies already worked out, kept as bytes by what they depend on.

A list depends on the revision's digest and the request, and on nothing else, so
its bytes may be sent again. A request that names an engine on file is not kept:
what is on file changes.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from typing import NamedTuple

KEPT_BYTES = 32 * 1024 * 1024
LARGEST_SHARE = 8
"""One reply takes at most this part of the room, or is not kept."""


class Question(NamedTuple):
    """What a reply depends on: `request` is the body as it was sent."""

    operation: str
    family: str
    number: int
    digest: str
    request: bytes


class Answered:
    """Keeps replies up to `room` bytes; the least recently used are let go."""

    def __init__(self, *, room: int = KEPT_BYTES) -> None:
        self._room = room
        self._taken = 0
        self._guard = threading.Lock()
        self._kept: OrderedDict[Question, bytes] = OrderedDict()

    def reply(self, question: Question, answer: Callable[[], bytes]) -> bytes:
        """Return the reply to `question`, working it out where it is not kept."""
        with self._guard:
            kept = self._kept.get(question)
            if kept is not None:
                self._kept.move_to_end(question)
                return kept
        made = answer()
        self._keep(question, made)
        return made

    def _keep(self, question: Question, made: bytes) -> None:
        size = len(made) + len(question.request)
        if size * LARGEST_SHARE > self._room:
            return
        with self._guard:
            if question in self._kept:
                return
            self._kept[question] = made
            self._taken += size
            while self._taken > self._room:
                gone, reply = self._kept.popitem(last=False)
                self._taken -= len(reply) + len(gone.request)
