"""Why a part is on the list, or why it is not.

Two questions hide in it: does the part sit there on this engine (a condition that
answers and rules decide), and is the place disturbed by what is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from bomsvc.core.catalogue.conditions import print_condition
from bomsvc.core.fasteners.values import Rejected, SizedGroup
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.reasons import Reason as Ground
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.fits import Spot, spots_of
from bomsvc.core.resolve.layout import Layout, layout_of
from bomsvc.core.resolve.lines import (
    Candidate,
    Clashing,
    Line,
    Place,
    Reason,
    Resolved,
)
from bomsvc.core.resolve.resolving import resolve
from bomsvc.core.resolve.scope import Scope
from bomsvc.core.resolve.worded import plainly

There = Literal["certain", "excluded", "open"]
Absence = Literal[
    "not_there",
    "not_disturbed",
    "brought_along",
    "alternate",
    "does_not_fit",
    "other_chosen",
]


@dataclass(frozen=True, slots=True)
class WhyPlace:
    """One place the part may sit at, or be used at.

    Attributes:
        there: Whether the part is there on this engine.
        when: The document's condition for it, canonical text; None for a screw
            that the sizing takes or leaves.
        grounds: Answers, rules and option places that decide `there`, none to
            spare; empty while it is open.
        decided_by: The options that would decide it, while it is open.
        listed: Whether the list has it at this place, certain or open.
        reasons: Why the list has it: the fitment's condition, what disturbs the
            place.
        absent: Why the list does not have it: `not_there` its condition fails;
            `not_disturbed` nothing asked for touches the place; `brought_along` it
            comes with a part that is renewed; `alternate` it is only offered
            instead; `does_not_fit` and `other_chosen` for a screw.
        figures: For a screw: the group's sized form that takes or leaves it.
        rejected: For a screw of a length that does not do: the bounds it fails.
    """

    place: Place
    there: There
    when: str | None
    grounds: tuple[Ground, ...] = ()
    decided_by: tuple[Key, ...] = ()
    listed: bool = False
    reasons: tuple[Reason, ...] = ()
    absent: Absence | None = None
    figures: SizedGroup | None = None
    rejected: Rejected | None = None


@dataclass(frozen=True, slots=True)
class Explained:
    """Everything that decides whether the part is on the list.

    No places: nothing of this family takes the part.
    """

    part: str
    name: str
    places: tuple[WhyPlace, ...]


def explain_part(
    reasoner: Reasoner,
    known: Known,
    scope: Scope,
    number: str,
    *,
    by_way_of: Sequence[Key] = (),
) -> Explained | Clashing:
    """Why the part is on the scope's list at each place it could be, or is not.

    Args:
        reasoner: The revision's reasoner.
        known: What is known of the engine.
        scope: What the list is for.
        number: The part, as the catalogue writes it.
        by_way_of: Steps pinned as the way in.

    Raises:
        KeyError: The catalogue has no such part.
    """
    layout = layout_of(reasoner.compiled)
    part = layout.parts[number]
    resolved = resolve(reasoner, known, scope, by_way_of=by_way_of)
    if isinstance(resolved, Clashing):
        return resolved
    explainer = _Explainer(reasoner, known, layout, resolved)
    return Explained(number, part.name, tuple(explainer.places(number)))


class _Explainer:
    """Looks at parts under one list."""

    def __init__(
        self, reasoner: Reasoner, known: Known, layout: Layout, resolved: Resolved
    ) -> None:
        self._reasoner = reasoner
        self._known = known
        self._layout = layout
        self._resolved = resolved
        self._brought = frozenset(_brought_by(layout, resolved.lines))

    def places(self, number: str) -> Iterator[WhyPlace]:
        lines = [line for line in self._resolved.lines if line.part == number]
        for spot in spots_of(self._layout, number):
            yield self._spot(spot, _line_at(lines, spot.place))
        yield from self._screws(number, lines)

    def _spot(self, spot: Spot, line: Line | None) -> WhyPlace:
        why = self._reasoner.why(self._known, spot.lit)
        return WhyPlace(
            place=spot.place,
            there=why.state,
            when=print_condition(plainly(spot.condition, self._layout.sets)),
            grounds=why.reasons,
            decided_by=why.decided_by,
            listed=(absent := self._absence(spot, line, why.state)) is None,
            reasons=() if line is None or absent else line.why,
            absent=absent,
        )

    def _absence(self, spot: Spot, line: Line | None, there: There) -> Absence | None:
        if there == "excluded":
            return "not_there"
        if spot.rank > 1:
            return "alternate"
        if line is not None:
            return None
        return "brought_along" if spot.place.key in self._brought else "not_disturbed"

    def _screws(self, number: str, lines: Sequence[Line]) -> Iterator[WhyPlace]:
        """The groups that the list looked at and that want this kind of screw."""
        stated = {str(s.place) for s in spots_of(self._layout, number)}
        shown = self._shown()
        for place in self._wanting(number):
            name = str(place)
            if name in shown and name not in stated:
                line = _line_at(lines, place)
                yield self._screw(number, place, shown[name], line)

    def _shown(self) -> dict[str, SizedGroup | None]:
        """Figures by group: of opened joints, and of what is listed as fitted."""
        shown: dict[str, SizedGroup | None] = {}
        for line in self._resolved.lines:
            for place in line.places:
                if place.kind == "joint":
                    shown.setdefault(str(place), line.screw)
        for still in self._resolved.open:
            if still.place.kind == "joint":
                shown.setdefault(str(still.place), _first_screw(still.candidates))
        for form in self._resolved.joints:
            for group in form.groups:
                figures = group.screw or _first_screw(group.candidates)
                shown[str(Place("joint", form.joint, group.group))] = figures
        return shown

    def _wanting(self, number: str) -> Iterator[Place]:
        """The groups of the family that want a screw of this thread."""
        screw = self._layout.parts[number].screw
        for joint in self._layout.compiled.standing.joints.values():
            for group in joint.groups:
                wanted = group.group.screw
                if screw and wanted and screw.thread == wanted.thread:
                    holes = tuple(hole.hole for hole in group.group.holes)
                    yield Place("joint", joint.key, group.code, holes)

    def _screw(
        self,
        number: str,
        place: Place,
        figures: SizedGroup | None,
        line: Line | None,
    ) -> WhyPlace:
        if line is not None:
            return WhyPlace(
                place=place,
                there=line.state,
                when=None,
                decided_by=line.decided_by,
                listed=True,
                reasons=line.why,
                figures=line.screw,
            )
        rejected = None if figures is None else self._rejected(number, figures)
        return WhyPlace(
            place=place,
            there="excluded",
            when=None,
            absent="other_chosen"
            if self._in_window(number, figures)
            else "does_not_fit",
            figures=figures,
            rejected=rejected,
        )

    def _in_window(self, number: str, figures: SizedGroup | None) -> bool:
        """Whether the screw's length would do, so that another was only preferred."""
        screw = self._layout.parts[number].screw
        if screw is None or figures is None or figures.window_mm is None:
            return False
        least, most = figures.window_mm
        length = Fraction(screw.length_mm)
        return least <= length and (most is None or length <= most)

    def _rejected(self, number: str, figures: SizedGroup) -> Rejected | None:
        screw = self._layout.parts[number].screw
        assert screw is not None
        return next(
            (
                one
                for one in figures.rejected
                if one.length_mm == screw.length_mm and one.standard == screw.standard
            ),
            None,
        )


def _first_screw(candidates: Sequence[Candidate]) -> SizedGroup | None:
    return next((one.screw for one in candidates if one.screw is not None), None)


def _line_at(lines: Sequence[Line], place: Place) -> Line | None:
    return next((line for line in lines if place in line.places), None)


def _brought_by(layout: Layout, lines: Sequence[Line]) -> Iterator[Key]:
    """Positions whose part comes with a part that is renewed, also through others."""
    standing = layout.compiled.standing.positions
    renewed = {
        place.key
        for line in lines
        for place in line.places
        if line.need == "renew" and place.kind == "position"
    }
    for key in standing:
        waiting, seen = [key], {key}
        while waiting:
            for includer in layout.includers.get(waiting.pop(), ()):
                if includer.position in renewed:
                    yield key
                if includer.position not in seen:
                    seen.add(includer.position)
                    waiting.append(includer.position)
