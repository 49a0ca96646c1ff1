"""Explanations in sentences for people, without codes."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest

from bomsvc.core.fasteners.sentences import miss_detail, mm
from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.logic.cover_words import cover_sentence
from bomsvc.core.logic.known import NOTHING
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.sentences import as_sentence, inside
from bomsvc.core.resolve.explain import Absence, Explained, WhyPlace
from bomsvc.core.resolve.fits import COVER_TERMS, Spot, spots_of
from bomsvc.core.resolve.layout import layout_of
from bomsvc.core.resolve.lines import Place, Reason
from bomsvc.core.resolve.scope import Scope
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.service.spoken import scope_labels
from bomsvc.service.wording import Labels, listed

_ABSENT: dict[Absence, str] = {
    "not_there": "Not on this engine.",
    "not_disturbed": "On this engine, but nothing that was asked for touches it.",
    "brought_along": "It comes with a part that is renewed, so not by itself.",
    "alternate": "It may be taken instead of what is listed.",
    "does_not_fit": "This screw does not do here.",
    "other_chosen": "Its length would do, but another screw was chosen.",
}
_NOT_SURE: dict[Absence, str] = {
    "not_disturbed": "Perhaps on this engine, but nothing that was asked for touches"
    " it.",
    "alternate": "Perhaps it may be taken instead of what is listed.",
}
OTHER_QUANTITY = "Not in this quantity on this engine."


def summary(reasoner: Reasoner, scope: Scope, explained: Explained) -> str:
    """Return in a sentence whether the list of the scope has the part."""
    labels = Labels(reasoner.compiled)
    wanted = listed(scope_labels(labels, scope))
    name = f"{explained.part} ({explained.name})"
    listed_at = [place for place in explained.places if place.listed]
    if not explained.places:
        return f"{name} is not on the list for: {wanted}. Nothing of that takes it."
    if not listed_at:
        return f"{name} is not on the list for: {wanted}."
    if any(place.there == "certain" for place in listed_at):
        return f"{name} is on the list for: {wanted}."
    return f"{name} may be on the list for: {wanted}; that is still open."


def place_told(
    reasoner: Reasoner, explained: Explained
) -> list[tuple[str, tuple[str, ...]]]:
    """Return each place's name and what decides about it, in sentences."""
    teller = _Teller(reasoner, explained)
    # The places that a condition decides come first, one for each spot.
    spots = list(spots_of(layout_of(reasoner.compiled), explained.part))
    return [
        (teller.labels.place(place.place), tuple(teller.sentences(place, spot)))
        for place, spot in zip_longest(explained.places, spots)
    ]


class _Teller:
    """Tells of the places of one part."""

    def __init__(self, reasoner: Reasoner, explained: Explained) -> None:
        self.labels = Labels(reasoner.compiled)
        self._reasoner = reasoner
        self._there = {p.place for p in explained.places if p.there != "excluded"}
        self._screw = layout_of(reasoner.compiled).parts[explained.part].screw

    def sentences(self, place: WhyPlace, spot: Spot | None) -> Iterator[str]:
        """Yield what decides about the place; no spot: a screw that sizing takes."""
        yield self._verdict(place)
        if spot is not None:
            yield self._fits_where(spot)
        yield from (ground.because for ground in place.grounds)
        yield from self._reasons(place)
        if place.decided_by:
            deciding = listed(map(self.labels.option, place.decided_by))
            yield f"What decides it: {deciding}."
        if place.figures is not None:
            yield from self._kind(place.place)
            yield from self._figures(place, place.figures)

    def _verdict(self, place: WhyPlace) -> str:
        if place.absent is None:
            sure = place.there != "open"
            return "On the list." if sure else "Perhaps on the list: still open."
        if place.absent == "not_there" and place.place in self._there:
            return OTHER_QUANTITY
        if place.there == "open" and place.absent in _NOT_SURE:
            return _NOT_SURE[place.absent]
        return _ABSENT[place.absent]

    def _fits_where(self, spot: Spot) -> str:
        """Say which builds have the part there."""
        cover = self._reasoner.cover(NOTHING, spot.lit, limit=COVER_TERMS)
        if cover.terms == ((),):
            return "Every engine of the family has it here."
        if not cover.terms:
            return "No valid build has it here."
        words = cover_sentence(self._reasoner.compiled, cover)
        return f"It goes here where {inside(words)}"

    def _reasons(self, place: WhyPlace) -> Iterator[str]:
        """Say why the list has it, each reason once; where it sits was said."""
        found = (one for one in place.reasons if _tells_more(one, place.place))
        said = dict.fromkeys(self.labels.reason(reason) for reason in found)
        yield from (as_sentence(text) for text in said)

    def _kind(self, place: Place) -> Iterator[str]:
        """Say where the joint takes another kind of screw."""
        groups = self.labels.compiled.standing.joints[place.key].groups
        wanted = next(g.group.screw for g in groups if g.code == place.group)
        if self._screw is None or wanted is None:
            return
        if self._screw.standard not in wanted.standard:
            kinds = listed(wanted.standard)
            yield f"The joint takes {kinds}; this screw is {self._screw.standard}."

    def _figures(self, place: WhyPlace, sized: SizedGroup) -> Iterator[str]:
        if place.rejected is not None:
            yield as_sentence(listed(map(miss_detail, place.rejected.misses)))
        if sized.window_mm is not None and self._screw is not None:
            least, most = sized.window_mm
            upper = "or more" if most is None else f"to {mm(most)}"
            own = decimal_text(self._screw.length_mm)
            yield f"It is {own} mm long; here {mm(least)} {upper} will do."
        if sized.chosen is not None and place.absent is not None:
            name, chosen = sized.chosen.part, sized.chosen.designation
            yield f"Chosen: {name} ({chosen})." if name else f"Chosen: {chosen}."


def _tells_more(reason: Reason, place: Place) -> bool:
    """Whether a reason of a line is about this place and more than its name."""
    if reason.position is not None:
        return False
    if reason.joint is None:
        return True
    own = place.kind != "joint" or reason.joint == place.key
    return own and bool(reason.opened_by or reason.loosened_by)
