"""What is new with one renewed position, and what of it must be freed, in any build.

The same as `Survey.renewed_with` reads off one case, as conditions: of all that is
new with the renewed parts, over `renew_with` and `includes`, what must be renewed
and does not come with any of it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.standing import FALSE, TRUE, Key, Lit
from bomsvc.core.prove.connected import connected
from bomsvc.core.prove.subject import Subject
from bomsvc.core.work.shop import Shop
from bomsvc.core.work.survey import Renewed, following

Renewal = tuple[Key, Renewed]


class _Tie(NamedTuple):
    """Where `given` holds, what sits in `key` is new too; `brought`: included."""

    key: Key
    given: Lit
    brought: bool


class Newness:
    """What renewed parts draw along.

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

    def _new_with(self, start: Renewal) -> Mapping[Renewal, Lit]:
        """Return when each thing is new with the first: the least fixed point.

        Of things that draw one another along in a circle, a round reaches at least
        one more or none.
        """
        parts = connected((start,), self._onward)
        into: dict[Renewal, list[tuple[Renewal, Lit]]] = defaultdict(list)
        for part in parts:
            for renewal in part:
                for tie in self._ties(renewal):
                    into[tie.key, "all"].append((renewal, tie.given))
        new: dict[Renewal, Lit] = {start: TRUE}
        for part in reversed(parts):
            for _ in part:
                new |= {
                    one: self._drawn(into[one], new) for one in part if one != start
                }
        return new

    def _drawn(
        self, ties: Sequence[tuple[Renewal, Lit]], new: Mapping[Renewal, Lit]
    ) -> Lit:
        return self._gates.any_of(
            self._gates.all_of((new.get(source, FALSE), given))
            for source, given in ties
        )

    def _onward(self, renewal: Renewal) -> list[Renewal]:
        return list(dict.fromkeys((tie.key, "all") for tie in self._ties(renewal)))

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
