"""Refusals: what cannot be done because of what else cannot be, as clauses.

A *node* is something that may be refused in a build: a step, the freeing of a
position, a job. A *reason* refuses its node where all its literals hold and every
node that it leads to is refused as well. What steps owe is the outer, least fixed
point: a refusal for what is owed rests on refusals made earlier. What steps need is
the inner, greatest one: steps that wait on one another are refused together.

So "is the job refused in some build?" is one question: guess the set of refused
nodes, each with a reason, and a rank that falls along edges to what must be refused
earlier and never rises. Ranks are only needed where such an edge lies in a circle,
and as many of them as such edges have starts, for each further round of the fixed
point refuses one of these (signatures of alternating fixed points: Streett and
Emerson, Information and Computation 81, 1989; from memory).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise
from typing import NamedTuple

from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.standing import FALSE, TRUE, Lit
from bomsvc.core.prove.connected import connected

Node = tuple[str, ...]
Clause = tuple[int, ...]


class Edge(NamedTuple):
    """Where `given` holds, the reason rests on `node` being refused.

    `earlier`: refused in an earlier round, not together with it.
    """

    given: Lit
    node: Node
    earlier: bool


class Reason(NamedTuple):
    """Where all of `lits` hold and all edges do, the node is refused."""

    lits: tuple[Lit, ...]
    edges: tuple[Edge, ...]


Reasons = Mapping[Node, tuple[Reason, ...]]


def refusable(reasons: Reasons) -> dict[Node, tuple[Reason, ...]]:
    """Leave out what is refused in no build, as far as that shows without solving."""
    users: dict[Node, list[Node]] = defaultdict(list)
    for node, each in reasons.items():
        for reason in each:
            for edge in reason.edges:
                users[edge.node].append(node)
    kept = dict(reasons)
    pending = list(reasons)
    while pending:
        node = pending.pop()
        if node in kept:
            left = tuple(r for r in kept[node] if _can_hold(r, kept))
            kept[node] = left
            if not left:
                del kept[node]
                pending += users[node]
    return kept


def _can_hold(reason: Reason, kept: Reasons) -> bool:
    return FALSE not in reason.lits and all(
        edge.given != TRUE or edge.node in kept for edge in reason.edges
    )


class Refusals:
    """Clauses whose models are a build with refusals that have reasons in it.

    Args:
        reasons: Per node, what refuses it; a node that is not there is never refused.
        top: Variables above this one are the refusals' own.

    A model need not refuse all that it
    could; so ask whether a node can be refused, never whether it must not be.
    """

    def __init__(self, reasons: Reasons, top: int) -> None:
        self._top = top
        self._reasons = dict(reasons)
        self._refused = {node: self._fresh() for node in self._reasons}
        self._held = {
            node: tuple(self._fresh() for _ in each)
            for node, each in self._reasons.items()
        }
        self._ranks = self._ranked()
        self._clauses = {node: tuple(self._of(node)) for node in self._reasons}

    def refused(self, node: Node) -> int:
        """Return the literal of "the node is refused"; FALSE where it never is."""
        return self._refused.get(node, FALSE)

    def held(self, node: Node) -> tuple[int, ...]:
        """Return the literal of each reason left of a node."""
        return self._held.get(node, ())

    def reasons(self, node: Node) -> tuple[Reason, ...]:
        """Return the reasons left of a node."""
        return self._reasons.get(node, ())

    def clauses(self) -> Iterator[Clause]:
        """Yield every clause."""
        for clauses in self._clauses.values():
            yield from clauses

    def clauses_below(self, node: Node) -> Iterator[Clause]:
        """Yield the clauses of a node and of all it rests on."""
        seen, pending = {node}, [node]
        while pending:
            here = pending.pop()
            yield from self._clauses.get(here, ())
            for edge in _edges(self._reasons.get(here, ())):
                if edge.node not in seen:
                    seen.add(edge.node)
                    pending.append(edge.node)

    def _fresh(self) -> int:
        self._top += 1
        return self._top

    def _of(self, node: Node) -> Iterator[Clause]:
        held = self._held[node]
        yield (-self._refused[node], *held)
        yield from _falling(self._ranks.get(node, ()))
        for one, reason in zip(held, self._reasons[node], strict=True):
            for lit in reason.lits:
                yield (-one, lit)
            for edge in reason.edges:
                unless = (-one,) if edge.given == TRUE else (-one, negated(edge.given))
                yield from self._rests_on(node, edge, unless)

    def _rests_on(self, node: Node, edge: Edge, unless: Clause) -> Iterator[Clause]:
        if edge.given == FALSE:
            return
        refused = self._refused.get(edge.node)
        if refused is None:
            yield unless
            return
        yield (*unless, refused)
        ours, theirs = self._ranks.get(node), self._ranks.get(edge.node)
        if ours is None or theirs is None or self._part[node] != self._part[edge.node]:
            return
        if edge.earlier:
            yield (*unless, ours[0])
            yield (*unless, -theirs[-1])
            theirs, ours = theirs[:-1], ours[1:]
        for their, our in zip(theirs, ours, strict=True):
            yield (*unless, -their, our)

    def _ranked(self) -> dict[Node, tuple[int, ...]]:
        """Return "the rank is at least 1, 2, ..." of nodes that need a rank."""
        parts = connected(self._reasons, self._below)
        self._part = {node: n for n, part in enumerate(parts) for node in part}
        ranks: dict[Node, tuple[int, ...]] = {}
        for number, part in enumerate(parts):
            starts = sum(self._goes_back(node, number) for node in part)
            if starts:
                for node in part:
                    ranks[node] = tuple(self._fresh() for _ in range(starts))
        return ranks

    def _goes_back(self, node: Node, part: int) -> bool:
        """Tell whether the node rests on an earlier refusal of its own circle."""
        return any(
            edge.earlier and self._part.get(edge.node) == part
            for edge in _edges(self._reasons[node])
        )

    def _below(self, node: Node) -> list[Node]:
        found = (edge.node for edge in _edges(self._reasons[node]))
        return [node for node in dict.fromkeys(found) if node in self._reasons]


def _edges(reasons: Iterable[Reason]) -> Iterator[Edge]:
    for reason in reasons:
        yield from (edge for edge in reason.edges if edge.given != FALSE)


def _falling(rank: tuple[int, ...]) -> Iterator[Clause]:
    """Yield that a rank of at least two is at least one, and so on."""
    for lower, higher in pairwise(rank):
        yield (-higher, lower)
