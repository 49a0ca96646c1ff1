"""Strongly connected parts of what asks for one another."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from typing import Generic, TypeVar

N = TypeVar("N", bound=Hashable)


def connected(
    starts: Iterable[N], onward: Callable[[N], Iterable[N]]
) -> list[tuple[N, ...]]:
    """Return the strongly connected parts of all that some nodes lead to.

    Parts that others lead to come before these.

    R. Tarjan, "Depth-first search and linear graph algorithms", SIAM Journal on
    Computing 1, 1972; here without recursion.
    """
    search = _Search(onward)
    return [part for start in starts for part in search.below(start)]


class _Search(Generic[N]):
    """One depth-first search; remembers what it has been through."""

    def __init__(self, onward: Callable[[N], Iterable[N]]) -> None:
        self._onward = onward
        self._number: dict[N, int] = {}
        self._low: dict[N, int] = {}
        self._stack: list[N] = []
        self._on_stack: set[N] = set()
        self._path: list[tuple[N, Iterator[N]]] = []

    def below(self, start: N) -> Iterator[tuple[N, ...]]:
        """Yield the parts not yet known below a node."""
        if start not in self._number:
            self._enter(start)
        while self._path:
            here, rest = self._path[-1]
            following = next(rest, None)
            if following is None:
                yield from self._leave(here)
            elif following not in self._number:
                self._enter(following)
            elif following in self._on_stack:
                self._low[here] = min(self._low[here], self._number[following])

    def _enter(self, node: N) -> None:
        self._number[node] = self._low[node] = len(self._number)
        self._stack.append(node)
        self._on_stack.add(node)
        self._path.append((node, iter(self._onward(node))))

    def _leave(self, here: N) -> Iterator[tuple[N, ...]]:
        self._path.pop()
        low = self._low[here]
        if self._path:
            above = self._path[-1][0]
            self._low[above] = min(self._low[above], low)
        if low == self._number[here]:
            cut = self._stack.index(here)
            part = tuple(self._stack[cut:])
            del self._stack[cut:]
            self._on_stack.difference_update(part)
            yield part
