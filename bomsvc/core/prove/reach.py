"""Whether a step can be done, as a condition on the build.

A step can be done where it exists and each of its needs is met by steps that can be
done before it. Written out as the least fixed point over the steps that need one
another, that holds in exactly the builds where some order of steps reaches it.

How the document is read where it leaves room, as planning reads it: a needed
position that is empty and a needed step that is not there are met.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from bomsvc.core.logic.standing import FALSE, Key, Lit
from bomsvc.core.prove.connected import connected
from bomsvc.core.prove.subject import Subject
from bomsvc.core.work.shop import shop_of

Ways = tuple[tuple[Key, Lit], ...]
"""Steps that free a position, each with what must hold beside the step."""
NO_STEPS: frozenset[Key] = frozenset()


class Reach:
    """The literals of "this step can be done", some steps perhaps left out."""

    def __init__(self, subject: Subject) -> None:
        self._subject = subject
        self._shop = shop_of(subject.compiled)
        self._ways: dict[Key, Ways] = {}
        self._parts: dict[Key, tuple[tuple[Key, ...], ...]] = {}
        self._known: dict[tuple[tuple[Key, ...], frozenset[Key]], dict[Key, Lit]] = {}

    def ways(self, position: Key) -> Ways:
        """Return every way to free a position."""
        found = self._ways.get(position)
        if found is None:
            ways = self._shop.ways_to_free(position)
            found = tuple(dict.fromkeys((way.step, way.given) for way in ways))
            self._ways[position] = found
        return found

    def possible(self, step: Key, *, without: frozenset[Key] = NO_STEPS) -> Lit:
        """Return the literal of "the step can be done", if need be without others."""
        done: dict[Key, Lit] = {}
        for part in self._parts_below(step):
            done |= self._settled(part, without, done)
        return done[step]

    def _settled(
        self, part: tuple[Key, ...], without: frozenset[Key], below: Mapping[Key, Lit]
    ) -> dict[Key, Lit]:
        """Return the least fixed point of steps that need one another in a circle.

        A round adds at least one step or none, so a round for each is enough.
        """
        left = without.intersection((*below, *part))
        known = self._known.get((part, left))
        if known is not None:
            return known
        done = dict.fromkeys(part, FALSE)
        for _ in part:
            seen = {**below, **done}
            done = {
                key: FALSE if key in without else self._done(key, seen) for key in part
            }
        self._known[part, left] = done
        return done

    def _done(self, key: Key, done: Mapping[Key, Lit]) -> Lit:
        step = self._subject.standing.steps[key]
        needs = (self._met(key, need, done) for need in step.needs)
        return self._subject.circuit.all_of((step.exists, *needs))

    def _met(self, step: Key, need: Key, done: Mapping[Key, Lit]) -> Lit:
        gates = self._subject.circuit
        other = self._subject.standing.steps.get(need)
        if other is not None:
            return gates.implied(other.exists, done.get(need, FALSE))
        by = gates.any_of(
            gates.all_of((done.get(way, FALSE), given))
            for way, given in self.ways(need)
            if way != step
        )
        return gates.implied(self._subject.filled(need), by)

    def _parts_below(self, step: Key) -> tuple[tuple[Key, ...], ...]:
        """Return the strongly connected parts below a step, needed ones first."""
        found = self._parts.get(step)
        if found is None:
            parts = connected((step,), self._asked)
            found = self._parts[step] = tuple(tuple(sorted(p)) for p in parts)
        return found

    def _asked(self, step: Key) -> list[Key]:
        return list(dict.fromkeys(self._all_asked(step)))

    def _all_asked(self, step: Key) -> Iterator[Key]:
        for need in self._subject.standing.steps[step].needs:
            if need in self._subject.standing.steps:
                yield need
            else:
                yield from (way for way, _ in self.ways(need))
