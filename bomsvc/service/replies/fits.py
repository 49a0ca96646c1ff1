"""Where a part fits, as plain trees for JSON."""

from __future__ import annotations

from bomsvc.core.resolve.fits import EngineFitPlace, EngineFits, FitPlace, Fits
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.service.replies.resolve import measure_form, place_form, question_form

Json = dict[str, object]


def fits_reply(fits: Fits, *, family: str | None = None) -> Json:
    """The places of a part in one family, each with its builds in words."""
    return {
        "part": fits.part,
        "name": fits.name,
        "family": family,
        "places": [_place(place) for place in fits.places],
        "sold_in": list(fits.sold_in),
    }


def _place(place: FitPlace) -> Json:
    return {
        "place": place_form(place.place),
        "role": place.role,
        "label": place.label,
        "qty": decimal_text(place.qty),
        "rank": place.rank,
        "when": place.when,
        "words": place.words,
        "complete": place.complete,
    }


def engine_fits_reply(fits: EngineFits) -> Json:
    """Whether a part fits one engine: yes, no, or what to ask."""
    return {
        "part": fits.part,
        "answer": fits.answer,
        "places": [_engine_place(place) for place in fits.places],
        "questions": [question_form(q) for q in fits.questions],
        "to_measure": [measure_form(m) for m in fits.to_measure],
    }


def _engine_place(place: EngineFitPlace) -> Json:
    return {
        "place": place_form(place.place),
        "role": place.role,
        "label": place.label,
        "state": place.state,
        "decided_by": list(place.decided_by),
    }
