"""A conversion as plain trees for JSON."""

from __future__ import annotations

from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.resolve.convert import (
    ConversionWork,
    Converted,
    Moved,
    QuantityChange,
    ScrewChange,
)
from bomsvc.core.resolve.converting import OptionChange
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.service.replies.resolve import place_form, resolve_reply, step_form
from bomsvc.service.replies.size import number, sized_form

Json = dict[str, object]

_OF_THE_LIST = (
    "certain",
    "certain_but_measured",
    "lines",
    "open",
    "questions",
    "to_measure",
    "joints",
    "orders",
    "faults",
    "warnings",
)


def convert_reply(converted: Converted) -> Json:
    """What changes, comes off, goes on and stays; what to take; the work."""
    take = resolve_reply(converted.take)
    work = converted.work
    return {
        "changes": [_change(change) for change in converted.changes],
        "off": [_moved(moved) for moved in converted.off],
        "on": [_moved(moved) for moved in converted.on],
        "stays": [_stays(moved) for moved in converted.stays],
        "quantities": [_quantity(change) for change in converted.quantities],
        "screws": [_screw(change) for change in converted.screws],
        "unsettled": [place_form(place) for place in converted.unsettled],
        "take": {name: take[name] for name in _OF_THE_LIST},
        "work": None if work is None else _work(work),
    }


def _change(change: OptionChange) -> Json:
    return {
        "option": change.option,
        "before": list(change.before),
        "after": list(change.after),
        "cause": change.cause,
    }


def _moved(moved: Moved) -> Json:
    return {
        "part": moved.part,
        "name": moved.name,
        "qty": decimal_text(moved.qty),
        "place": place_form(moved.place),
        "wanted": moved.wanted,
    }


def _stays(moved: Moved) -> Json:
    return {**_moved(moved), "disturbed": moved.disturbed}


def _quantity(change: QuantityChange) -> Json:
    return {
        "part": change.part,
        "name": change.name,
        "before": decimal_text(change.before),
        "after": decimal_text(change.after),
        "place": place_form(change.place),
    }


def _screw(change: ScrewChange) -> Json:
    return {
        "place": place_form(change.place),
        "before": change.before,
        "after": change.after,
        "before_screw": _form(change.before_form),
        "after_screw": _form(change.after_form),
    }


def _form(form: SizedGroup | None) -> Json | None:
    return None if form is None else sized_form(form)


def _work(work: ConversionWork) -> Json:
    return {
        "strip": [step_form(step) for step in work.strip],
        "refit": [step_form(step) for step in work.refit],
        "minutes": [number(minutes) for minutes in work.minutes],
        "basis": work.basis,
        "optimal": work.optimal,
        "tools": list(work.tools),
        "cautions": list(work.cautions),
    }
