"""The use case that makes a full build of what is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bomsvc.core.logic.completing import Completed
from bomsvc.core.logic.standing import Key
from bomsvc.service.builds import Asked, Stand, refuse_clash, settled, stand_at
from bomsvc.service.desk import Desk

Json = dict[str, object]


@dataclass(frozen=True, slots=True)
class FullBuild:
    """A full build, with what it was made from.

    Attributes:
        stand: The revision and what is known.
        completed: The build, and how each option came to its value.
        builds_left: How many builds agree with what is known; None where that was
            not settled.
    """

    stand: Stand
    completed: Completed
    builds_left: int | None

    def reply(self) -> Json:
        """Return the build in the shape of the reply.

        `answers` and `sources` can be sent back as they are: what was taken
        because it is usual says so.
        """
        left = self.builds_left
        how = self.completed.how
        return {
            "revision": self.stand.revision(),
            "answers": self.completed.build.answers,
            "sources": self._sources(),
            "usual": [key for key, why in how.items() if why == "usual"],
            "how": dict(how),
            "builds_left": None if left is None else str(left),
        }

    def _sources(self) -> Mapping[Key, str]:
        """How each value is known, where somebody said or it is taken as usual."""
        how = self.completed.how
        said = {
            entry.key: entry.source
            for entry in reversed(self.stand.known.entries)
            if entry.source is not None and entry.key in how
        }
        said |= {key: "usual" for key, why in how.items() if why == "usual"}
        return {key: said[key] for key in how if key in said}


def complete_build(desk: Desk, family: str, asked: Asked) -> FullBuild:
    """Make a full build of what is known, keeping the most usual choices.

    Raises:
        Missing, Conflict, BadInput: As for `stand_at`.
        Clashing: The answers contradict one another, so there is no build.
    """
    with desk.store.read() as uow:
        stand = stand_at(desk, uow, family, asked)
    refuse_clash(stand)
    with settled():
        completed = stand.reasoner.complete(stand.known)
        assert completed is not None, "a clash was refused before"
        left = stand.reasoner.count(stand.known)
    return FullBuild(stand, completed, left)
