"""Changes between two revisions in the shape of the REST face."""

from __future__ import annotations

from bomsvc.core.prove.changes import Changed, Changes, OneOnly
from bomsvc.core.prove.comparing import Place
from bomsvc.core.prove.outcomes import AtPlace, Taken
from bomsvc.core.prove.showing import Outcome
from bomsvc.core.prove.structure import ListChange
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.service.changes import TouchedEngine
from bomsvc.service.replies.size import number

Shape = dict[str, object]


def changes_shape(changes: Changes) -> Shape:
    """Return the changes: document by list, then places and builds.

    A place stands once for each thing that `differs`: `list`, `alternates`, `work`.
    """
    return {
        "document": {name: _list(c) for name, c in changes.lists.items()},
        "comparable": changes.comparable,
        "places": [_place(place) for place in changes.places],
        "builds": [_one_only(one) for one in changes.one_only],
    }


def _list(change: ListChange) -> Shape:
    return {
        "added": list(change.added),
        "removed": list(change.removed),
        "edited": [{"at": at, "fields": list(names)} for at, names in change.edited],
    }


def _place(place: Changed) -> Shape:
    example = place.example
    return {
        place.kind: place.at,
        "label": place.label,
        "differs": place.differs,
        "when": place.when,
        "condition": place.condition,
        "terms": place.terms,
        "complete": place.complete,
        "settled": place.settled,
        "build": place.build,
        "shown": place.shown,
        "before": _outcome(example.before) if example else None,
        "after": _outcome(example.after) if example else None,
        "detail": example.sentence if example else None,
    }


def _outcome(outcome: Outcome | None) -> Shape | None:
    """Return one side, only what differs; None: it is not there."""
    if outcome is None:
        return None
    minutes = outcome.minutes
    return {
        "lines": [
            _line(place, taken, at) for place, at in outcome.lines for taken in at.taken
        ],
        "faults": [
            {"at": _at(place), "code": code, "detail": said}
            for place, at in outcome.lines
            for code, said in zip(at.faults, at.said, strict=True)
        ],
        "orders": [
            {"part": part, "qty": decimal_text(qty)} for part, qty in outcome.orders
        ],
        "minutes": None if minutes is None else number(minutes),
        "steps": [
            {"step": s.step, "minutes": number(s.off + s.on)} for s in outcome.steps
        ],
        "stated": list(outcome.stated),
    }


def _line(place: Place, taken: Taken, at: AtPlace) -> Shape:
    return {
        "at": _at(place),
        "need": taken.need,
        "part": taken.part,
        "wanted": taken.wanted,
        "name": taken.name,
        "qty": decimal_text(taken.qty),
        "unit": taken.unit,
        "order": taken.order,
        "holes": list(at.holes),
    }


def _at(place: Place) -> str:
    _, key, group = place
    return f"{key}.{group}" if group else key


def _one_only(one: OneOnly) -> Shape:
    return {
        "valid_in": one.valid_in,
        "when": one.when,
        "terms": one.terms,
        "complete": one.complete,
        "build": one.build,
    }


def engine_shape(engine: TouchedEngine) -> Shape:
    """Return what becomes of an engine on file."""
    return {
        "family": engine.family,
        "serial": engine.serial,
        "state": engine.state,
        "detail": engine.detail,
        "places": [
            {
                t.kind: t.at,
                "label": t.label,
                "differs": t.differs,
                "certain": t.state == "certain",
            }
            for t in engine.places
        ],
    }
