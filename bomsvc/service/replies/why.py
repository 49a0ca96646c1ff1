"""Why a part is on the list or not, as plain trees for JSON."""

from __future__ import annotations

from bomsvc.core.fasteners.values import Rejected
from bomsvc.core.logic.reasons import Reason as Ground
from bomsvc.core.resolve.explain import Explained, WhyPlace
from bomsvc.service.replies.resolve import place_form, reason_form
from bomsvc.service.replies.size import number, sized_form

Json = dict[str, object]


def why_reply(explained: Explained) -> Json:
    """Every place the part could be, with what decides it."""
    return {
        "part": explained.part,
        "name": explained.name,
        "listed": any(place.listed for place in explained.places),
        "places": [_place(place) for place in explained.places],
    }


def _place(place: WhyPlace) -> Json:
    return {
        "place": place_form(place.place),
        "there": place.there,
        "when": place.when,
        "grounds": [_ground(ground) for ground in place.grounds],
        "decided_by": list(place.decided_by),
        "listed": place.listed,
        "why": [reason_form(reason) for reason in place.reasons],
        "absent": place.absent,
        "screw": None if place.figures is None else sized_form(place.figures),
        "rejected": None if place.rejected is None else _rejected(place.rejected),
    }


def _ground(ground: Ground) -> Json:
    """As `why` of `identify`: the rule, answer or option, and the sentence."""
    return {ground.kind: ground.name, "because": ground.because}


def _rejected(rejected: Rejected) -> Json:
    return {
        "length_mm": number(rejected.length_mm),
        "misses": [
            {
                "reason": miss.reason,
                "by_mm": None if miss.by_mm is None else number(miss.by_mm),
            }
            for miss in rejected.misses
        ],
    }
