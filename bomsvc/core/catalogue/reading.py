"""A reading in progress: places, problems, and the nearest known word.

Readers report problems here and carry on with a stand-in, so that one reading
finds everything that is wrong. What a stand-in leads to is never given out.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field

from bomsvc.core.terms.pointers import join
from bomsvc.core.terms.problems import MOST_TOLD, BadInput, Problem, first_told
from bomsvc.core.terms.words import nearest

_LISTED = 12
"""Up to so many known words are listed where none is near."""
_COMPARISONS = 1_000_000
"""Words compared in one reading before suggestions end: about a second of work."""


class Place:
    """Where a value stands: in which holder, under which name or index.

    A field taken over by `like` has an `origin`, the place that wrote it.
    """

    __slots__ = ("holder", "name", "origin")

    def __init__(
        self, holder: Place | None, name: str | int, origin: Place | None = None
    ) -> None:
        self.holder = holder
        self.name = name
        self.origin = origin

    @property
    def pointer(self) -> str:
        """JSON pointer; of a field taken over by `like`: the item that took it."""
        steps: list[str | int] = []
        place = self
        while place.holder is not None:
            if place.origin is None:
                steps.append(place.name)
            else:
                steps.clear()
            place = place.holder
        return join("", *reversed(steps))

    @property
    def written_at(self) -> str | None:
        """JSON pointer of the text that `like` took over; None if none did."""
        steps: list[str | int] = []
        place = self
        while place.holder is not None:
            if place.origin is not None:
                return join(place.origin.pointer, *reversed(steps))
            steps.append(place.name)
            place = place.holder
        return None


def circle(names: Sequence[str]) -> str:
    """Return names that lead to one another in a circle, for a sentence."""
    shown = [*names, names[0]]
    if len(shown) > _LISTED:
        shown = [*names[: _LISTED - 2], "...", names[0]]
    return " -> ".join(name[:40] for name in shown)


WHOLE = Place(None, "")
"""The whole document."""


@dataclass(slots=True)
class Reading:
    """What one reading has found so far.

    Attributes:
        series: Names of the family's series; no code may be one of them.
        count: Problems reported so far, to tell whether a part was sound.
    """

    series: frozenset[str] = frozenset()
    count: int = 0
    _own: dict[tuple[str, str, str], Problem] = field(default_factory=dict)
    _taken_over: list[tuple[str, Problem]] = field(default_factory=list)
    _near: dict[tuple[str, int], tuple[Collection[str], str | None]] = field(
        default_factory=dict
    )
    _compared: int = 0

    def report(
        self, place: Place, code: str, detail: str, *, remedy: str | None = None
    ) -> None:
        """Note one problem."""
        self.count += 1
        if len(self._own) + len(self._taken_over) > MOST_TOLD:
            return
        problem = Problem(place.pointer, detail, code, remedy=remedy)
        written_at = place.written_at
        if written_at is None:
            self._own.setdefault((problem.pointer, code, detail), problem)
        else:
            self._taken_over.append((written_at, problem))

    def unknown(
        self, place: Place, code: str, word: str, says: str, known: Collection[str]
    ) -> None:
        """Note that `word` is not known, with the nearest of the known words."""
        near = self.nearest(word, known)
        if near is not None:
            says += f'; the nearest is "{near}"'
        elif 0 < len(known) <= _LISTED:
            says += f"; known: {', '.join(known)}"
        self.report(place, code, says, remedy=near)

    def nearest(self, word: str, known: Collection[str]) -> str | None:
        """Return the nearest known word, while there is time for looking."""
        key = (word, id(known))
        if key not in self._near:
            if self._compared > _COMPARISONS:
                return None
            self._compared += len(known)
            # The words are kept beside the answer, so that their `id` stays theirs.
            self._near[key] = known, nearest(word, known)
        return self._near[key][1]

    def problems(self) -> tuple[Problem, ...]:
        """Everything found, in the order found, each thing once; at most `MOST_TOLD`.

        A problem in a field taken over by `like` is told at the place that wrote
        it, and again elsewhere only where it is a problem of the new place alone.
        """
        return first_told((*self._own.values(), *self._new_by_like()))

    def _new_by_like(self) -> Iterator[Problem]:
        for written_at, problem in self._taken_over:
            if (written_at, problem.code, problem.detail) in self._own:
                continue
            yield Problem(
                problem.pointer,
                f"{problem.detail} (taken over by `like` from {written_at})",
                problem.code,
                remedy=problem.remedy,
            )

    def close(self) -> None:
        """End the reading.

        Raises:
            BadInput: Something was wrong; carries every problem.
        """
        found = self.problems()
        if found:
            raise BadInput(found)
