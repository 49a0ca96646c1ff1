"""What is new with one renewed position, and what of it must be freed, in any build.

The same as `Survey.renewed_with` reads off one case, as conditions: of all that is
new with the renewed parts, over `renew_with` and `includes`, what must be renewed
and does not come with any of it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import NamedTuple

from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.standing import FALSE, TRUE, Key, Lit
from bomsvc.core.prove.circuit import Circuit
from bomsvc.core.prove.connected import connected
from bomsvc.core.prove.subject import Subject
from bomsvc.core.work.shop import Shop
from bomsvc.core.work.survey import Renewed, following

Renewal = tuple[Key, Renewed]
Drawn = tuple[Renewal, Lit]
"""What draws another along, or is, with when it does."""


class _Tie(NamedTuple):
    """Where `given` holds, what sits in `key` is new too; `brought`: included."""

    key: Key
    given: Lit
    brought: bool


class Newness:
    """What renewed parts draw along, and what sits inside others.

    Args:
        subject: The revision under proof.
        shop: The same turned round for planning; takes no part for granted.
    """

    def __init__(self, subject: Subject, shop: Shop) -> None:
        self._subject = subject
        self._gates = subject.circuit
        self._shop = shop
        self._known: dict[Renewal, tuple[_Tie, ...]] = {}

    def due(self, position: Key, of: Renewed) -> Iterator[tuple[Key, Lit]]:
        """Yield what must be freed with a renewed position, each with when it must."""
        renewed: dict[Key, list[Lit]] = defaultdict(list)
        brought: dict[Key, list[Lit]] = defaultdict(list)
        for renewal, new in self._new_with((position, of)).items():
            for tie in self._ties(renewal):
                into = brought if tie.brought else renewed
                into[tie.key].append(self._gates.all_of((new, tie.given)))
        for key, lits in renewed.items():
            # A position that is renewed whole asks for its own freeing itself.
            if (key, of) != (position, "all"):
                along = self._gates.any_of(brought.get(key, ()))
                must = self._gates.any_of(lits)
                yield key, self._gates.all_of((must, negated(along)))

    def inside(self, position: Key) -> Mapping[Key, Lit]:
        """Return when what sits in other positions comes with what sits here.

        However far down; a position that is filled in no build is left out.
        """

        def brought(renewal: Renewal) -> Iterator[tuple[Renewal, Lit]]:
            yield from (
                ((tie.key, "all"), tie.given)
                for tie in self._ties(renewal)
                if tie.brought
            )

        found = _drawn_along(self._gates, (position, "all"), brought)
        return {key: lit for (key, _), lit in found.items() if key != position}

    def _new_with(self, start: Renewal) -> Mapping[Renewal, Lit]:
        """Return when each thing is new with the first."""

        def new(renewal: Renewal) -> Iterator[tuple[Renewal, Lit]]:
            yield from (((t.key, "all"), t.given) for t in self._ties(renewal))

        return _drawn_along(self._gates, start, new)

    def _ties(self, renewal: Renewal) -> tuple[_Tie, ...]:
        found = self._known.get(renewal)
        if found is None:
            found = self._known[renewal] = tuple(self._every_tie(renewal))
        return found

    def _every_tie(self, renewal: Renewal) -> Iterator[_Tie]:
        position, of = renewal
        for lit, traits in self._shop.occupants(position).others:
            for key, brought in following(traits, of):
                given = self._gates.all_of((lit, self._subject.filled(key)))
                if given != FALSE:
                    yield _Tie(key, given, brought)


def _drawn_along(
    gates: Circuit, start: Renewal, onward: Callable[[Renewal], Iterable[Drawn]]
) -> Mapping[Renewal, Lit]:
    """Return when the first thing draws each other along: the least fixed point.

    Of things that draw one another along in a circle, a round reaches at least one
    more or none.
    """
    parts = connected(
        (start,), lambda one: dict.fromkeys(key for key, _ in onward(one))
    )
    into: dict[Renewal, list[Drawn]] = defaultdict(list)
    for part in parts:
        for one in part:
            for key, given in onward(one):
                into[key].append((one, given))
    found: dict[Renewal, Lit] = {start: TRUE}

    def drawn(one: Renewal) -> Lit:
        return gates.any_of(
            gates.all_of((found.get(by, FALSE), given)) for by, given in into[one]
        )

    for part in reversed(parts):
        for _ in part:
            found |= {one: drawn(one) for one in part if one != start}
    return found
