"""What outcomes depend on of parts, joints and groups, words aside."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from bomsvc.core.catalogue.conditions import ALWAYS
from bomsvc.core.catalogue.entities import Group, Joint, Part, ScrewWanted
from bomsvc.core.fasteners.candidates import on_shelf, read_kind
from bomsvc.core.fasteners.values import Screw, Shelf
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.stack import screw_of, wanted_of
from bomsvc.core.terms.problems import BadInput


def facts_of(part: Part) -> object:
    """Return what a line depends on of its part, words aside."""
    return (
        part.number,
        part.unit,
        part.sold_as,
        part.not_sold is None,
        part.reuse,
        part.includes,
        part.renew_with,
    )


def engineering_of(part: Part) -> object:
    """Return what a joint's screws depend on of a part."""
    pads, holes = tuple(part.pads.items()), tuple(part.holes.items())
    return facts_of(part), pads, holes, part.screw, part.nut, part.stud


def bare_joint(joint: Joint) -> object:
    """Return the joint without its conditions, groups and words."""
    return replace(joint, label="", exists=ALWAYS, groups=(), seals=(), drawing=None)


def bare_group(group: Group) -> object:
    """Return the group without its conditions, stated screws and words."""
    return replace(group, label=None, exists=ALWAYS, stated=())


class OnOffer:
    """The screws on offer to a group, with what a line depends on of them."""

    def __init__(self, layout: Layout) -> None:
        self._parts = layout.parts
        screws = tuple(screw_of(part) for part in layout.parts.values() if part.screw)
        self._shelf = Shelf(screws)
        self._known: dict[ScrewWanted, frozenset[object]] = {}

    def of(self, wanted: ScrewWanted | None) -> frozenset[object]:
        """Return the screws that may serve; all where the wish cannot be read."""
        if wanted is None:
            return frozenset()
        found = self._known.get(wanted)
        if found is None:
            found = self._known[wanted] = frozenset(
                (screw, facts_of(self._parts[str(screw.part)]))
                for screw in self._serving(wanted)
            )
        return found

    def _serving(self, wanted: ScrewWanted) -> Iterable[Screw]:
        try:
            kind = read_kind(wanted_of(wanted))
        except BadInput:
            return self._shelf.screws
        numbers = {c.chosen.part for c in on_shelf(self._shelf, kind).candidates}
        return (screw for screw in self._shelf.screws if screw.part in numbers)
