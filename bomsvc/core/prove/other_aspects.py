"""Alternates and tightening: compared by the form of what is stated, exactly.

Nothing is computed for these: what differs is what is stated differently, in the
builds in which it holds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from bomsvc.core.catalogue.entities import Pass, Tighten
from bomsvc.core.logic.gates import Gates
from bomsvc.core.logic.standing import FALSE, Key, Lit
from bomsvc.core.prove.contents import Kind
from bomsvc.core.prove.made_of import Things, any_unlike
from bomsvc.core.prove.outcomes import Aspect, Offered, Tightened
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.view import Truth
from bomsvc.core.terms.numbers import decimal_text

EMPTY = Tighten()


@dataclass(frozen=True, slots=True)
class Stated:
    """Things stated before and after, each with the condition under which it is."""

    before: Things
    after: Things

    def at(self, truth: Truth) -> tuple[tuple[object, ...], tuple[object, ...]]:
        """Return what is stated in one build."""
        one, other = (
            tuple(thing for thing, lit in things.items() if truth(lit))
            for things in (self.before, self.after)
        )
        return one, other


class OtherAspects:
    """Compares what is stated, not computed."""

    def __init__(self, gates: Gates, layouts: tuple[Layout, Layout]) -> None:
        self._gates = gates
        self._layouts = layouts

    def of(self, kind: Kind, key: Key) -> Iterator[tuple[Aspect, Lit, Stated]]:
        """Yield what differs beside the list."""
        if kind == "position":
            yield from self._differing("alternates", self._offered, key)
        elif kind == "joint":
            both = self._gates.all_of(self._joint(i, key) for i in (0, 1))
            for aspect, lit, stated in self._differing("work", self._tightened, key):
                there = self._gates.all_of((both, lit))
                if there != FALSE:
                    yield aspect, there, stated

    def _differing(
        self, aspect: Aspect, things: Callable[[Layout, Key], Things], key: Key
    ) -> Iterator[tuple[Aspect, Lit, Stated]]:
        stated = Stated(things(self._layouts[0], key), things(self._layouts[1], key))
        lit = any_unlike(self._gates, stated.before, stated.after)
        if lit != FALSE:
            yield aspect, lit, stated

    def _offered(self, layout: Layout, key: Key) -> Things:
        standing = layout.compiled.standing.positions.get(key)
        things: Things = {}
        for fitment in standing.fitments if standing else ():
            source = fitment.fitment
            if source.rank > 1:
                thing = Offered(source.rank, source.part, source.qty)
                lits = (things.get(thing, FALSE), fitment.applies)
                things[thing] = self._gates.any_of(lits)
        return things

    def _joint(self, index: int, key: Key) -> Lit:
        joint = self._layouts[index].compiled.standing.joints.get(key)
        return FALSE if joint is None else joint.exists

    def _tightened(self, layout: Layout, key: Key) -> Things:
        joint = layout.compiled.standing.joints.get(key)
        if joint is None:
            return {}
        how = joint.joint.tighten or EMPTY
        things: Things = {Tightened(text): joint.exists for text in _passes(how)}
        for group in joint.groups:
            text = f"{group.code}: threads {group.group.threads}"
            things[Tightened(text)] = group.exists
        return things


def _passes(how: Tighten) -> Iterator[str]:
    for number, one in enumerate(how.passes, start=1):
        yield f"pass {number}: {_pass(one)}"
    if how.loosen_order:
        yield f"loosened in the order {', '.join(map(str, how.loosen_order))}"


def _pass(one: Pass) -> str:
    figures = (
        (one.torque_nm, "Nm"),
        (one.angle_deg, "degrees on"),
        (one.loosen_deg, "degrees back"),
        (one.stretch_mm, "mm of stretch"),
    )
    told = [f"{decimal_text(f)} {unit}" for f, unit in figures if f is not None]
    if one.groups:
        told.append(f"groups {', '.join(one.groups)}")
    if one.order:
        told.append(f"in the order {', '.join(map(str, one.order))}")
    return ", ".join(told)
