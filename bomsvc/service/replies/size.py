"""The sized form, the torque and the thread as plain trees for JSON."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from bomsvc.core.fasteners.candidates import length_text
from bomsvc.core.fasteners.cautions import ON_TORQUES, caution_texts
from bomsvc.core.fasteners.kinds import INCH
from bomsvc.core.fasteners.sentences import MISS_WORDS, failure_detail
from bomsvc.core.fasteners.threads import Thread
from bomsvc.core.fasteners.torque import Formula, TorqueAnswer
from bomsvc.core.fasteners.values import (
    Chosen,
    Failure,
    Finding,
    Need,
    Rejected,
    SizedGroup,
)
from bomsvc.service.sizing import EstimatedByHand, SizedByHand

DECIMALS = 6
Json = dict[str, object]


def number(value: Fraction | Decimal) -> int | float:
    """A JSON number of at most six decimals; whole numbers without a point."""
    exact = Fraction(value)
    if exact.denominator == 1:
        return exact.numerator
    rounded = round(exact, DECIMALS)
    return rounded.numerator / rounded.denominator


def sized_form(sized: SizedGroup) -> Json:
    """A screw with its figures, as `POST /fasteners/size` and screw lines show it."""
    return {
        "chosen": _chosen(sized.chosen),
        "failure": _failure(sized.failure),
        "clamp_mm": _numbers(sized.clamp_mm),
        "window_mm": _ends(sized.window_mm),
        "needed_mm": _or_none(sized.need.mm if sized.need else None),
        "governs": sized.need.governs if sized.need else None,
        "needed": _needed(sized.need),
        "engagement_mm": _ends(sized.engagement_mm),
        "margin_mm": _margins(sized),
        "tip_mm": _ends(sized.tip_mm),
        "stud": _stud(sized),
        "alternatives": [_chosen(other) for other in sized.alternatives],
        "rejected": [_rejected(one) for one in sized.rejected],
        "cautions": list(caution_texts(sized.cautions)),
        "computed": _chosen(sized.computed),
        "findings": [_finding(found) for found in sized.findings],
    }


def size_reply(by_hand: SizedByHand) -> Json:
    """The reply to a screw sized by hand: the sized form, and its torque.

    With `"units": "inch"` the figures stand a second time in inches, in `inch`.
    """
    reply = sized_form(by_hand.sized)
    reply["torque"] = torque_form(by_hand.torque)
    reply["notes"] = [
        f"{length_text(length, inch=by_hand.inch)} is not a length of this standard's "
        "own series."
        for length in by_hand.unusual_mm
    ]
    if by_hand.inch:
        reply["inch"] = _in_inches(by_hand.sized)
    return reply


def torque_reply(by_hand: EstimatedByHand) -> Json:
    """The reply to a torque estimated by hand."""
    asked = by_hand.asked
    reply: Json = {
        "standard": asked.standard.code,
        "thread": asked.thread.designation,
        "property_class": asked.property_class.code,
    }
    reply.update(torque_form(by_hand.answer))
    reply["needed_mm"] = _or_none(by_hand.need.mm if by_hand.need else None)
    reply["needed"] = _needed(by_hand.need)
    return reply


def torque_form(answer: TorqueAnswer) -> Json:
    """An estimate with the parts of its formulas, or why there is none."""
    return {
        "torque_nm": _or_none(answer.torque_nm),
        "preload_kn": _or_none(answer.preload_kn),
        "nut_factor": _or_none(_three(answer.nut_factor)),
        "label": _label(answer),
        "friction": number(answer.friction),
        "friction_class": answer.friction_class,
        "utilisation": number(answer.utilisation),
        "formulas": {name: _formula(formula) for name, formula in answer.formulas},
        "refused": [{"code": r.code, "detail": r.detail} for r in answer.refused],
        "notes": list(answer.notes),
        "cautions": list(caution_texts(ON_TORQUES)),
    }


def thread_reply(thread: Thread) -> Json:
    """A thread and its figures, mm and mm2."""
    return {
        "designation": thread.designation,
        "short": thread.short,
        "series": thread.series,
        "diameter_mm": number(thread.d_mm),
        "pitch_mm": number(thread.pitch_mm),
        "threads_per_inch": number(INCH / thread.pitch_mm) if thread.inch else None,
        "stress_area_mm2": number(thread.stress_area_mm2),
        "pitch_diameter_mm": number(thread.pitch_diameter_mm),
        "root_mm": number(thread.root_mm),
        "internal_minor_mm": number(thread.internal_minor_mm),
        "limits_mm": {
            "screw_major_min": number(thread.major_min_mm),
            "screw_pitch_min": number(thread.pitch_min_mm),
            "hole_minor_max": number(thread.minor_max_mm),
            "hole_pitch_max": number(thread.hole_pitch_max_mm),
        },
        "point_mm": number(thread.point_mm),
    }


def _chosen(chosen: Chosen | None) -> Json | None:
    if chosen is None:
        return None
    form: Json = {
        "designation": chosen.designation,
        "length_mm": number(chosen.length_mm),
        "fully_threaded": chosen.fully_threaded,
        "part": chosen.part,
    }
    if chosen.inch:
        form["length_in"] = number(chosen.length_mm / INCH)
    return form


def _failure(failure: Failure | None) -> Json | None:
    if failure is None:
        return None
    return {
        "reason": failure.reason,
        "by_mm": _or_none(failure.by_mm),
        "detail": failure_detail(failure),
    }


def _needed(need: Need | None) -> Json | None:
    if need is None:
        return None
    return {
        "stripping_mm": number(need.stripping_mm),
        "guide_mm": number(need.guide_mm),
    }


def _margins(sized: SizedGroup) -> Json | None:
    margins = sized.margins
    if margins is None:
        return None
    return {
        "short": number(margins.short),
        "over": _or_none(margins.over),
        "shank": _or_none(margins.shank),
    }


def _stud(sized: SizedGroup) -> Json | None:
    stud = sized.stud
    if stud is None:
        return None
    return {
        "set_mm": number(stud.set_mm),
        "length_mm": number(stud.length_mm),
        "free_min_mm": number(stud.free_min_mm),
        "free_needed_mm": number(stud.free_needed_mm),
        "free_margin_mm": number(stud.free_margin_mm),
        "stays": stud.stays,
    }


def _rejected(one: Rejected) -> Json:
    first = one.misses[0]
    return {
        "length_mm": number(one.length_mm),
        "reason": first.reason,
        "by_mm": _or_none(first.by_mm),
        "misses": [
            {
                "reason": miss.reason,
                "by_mm": _or_none(miss.by_mm),
                "words": MISS_WORDS[miss.reason],
            }
            for miss in one.misses
        ],
    }


def _finding(found: Finding) -> Json:
    return {
        "code": found.code,
        "severity": found.severity,
        "detail": found.detail,
    }


def _formula(formula: Formula) -> Json:
    return {
        "formula": formula.formula,
        "source": formula.source,
        "value": number(formula.value),
        "unit": formula.unit,
        "parts": [
            {
                "symbol": term.symbol,
                "words": term.words,
                "value": number(term.value),
                "unit": term.unit,
            }
            for term in formula.parts
        ],
    }


def _label(answer: TorqueAnswer) -> str:
    if answer.refused:
        return "No estimate."
    return (
        f"Estimate of the screw's limit at friction {number(answer.friction)}: not the "
        "joint's limit and not the maker's torque."
    )


def _in_inches(sized: SizedGroup) -> Json:
    margins = sized.margins
    return {
        "clamp_in": _inches(sized.clamp_mm),
        "window_in": _inches(sized.window_mm),
        "needed_in": _inch(sized.need.mm if sized.need else None),
        "engagement_in": _inches(sized.engagement_mm),
        "margin_in": None
        if margins is None
        else {
            "short": _inch(margins.short),
            "over": _inch(margins.over),
            "shank": _inch(margins.shank),
        },
        "tip_in": _inches(sized.tip_mm),
        "failure_by_in": _inch(sized.failure.by_mm if sized.failure else None),
    }


def _inch(value: Fraction | None) -> int | float | None:
    return None if value is None else number(value / INCH)


def _inches(
    values: Sequence[Fraction | None] | None,
) -> list[int | float | None] | None:
    return None if values is None else [_inch(value) for value in values]


def _numbers(values: Sequence[Fraction]) -> list[int | float]:
    return [number(value) for value in values]


def _ends(values: Sequence[Fraction | None] | None) -> list[int | float | None] | None:
    return None if values is None else [_or_none(value) for value in values]


def _or_none(value: Fraction | Decimal | None) -> int | float | None:
    return None if value is None else number(value)


def _three(value: Decimal | None) -> Fraction | None:
    return None if value is None else round(Fraction(value), 3)
