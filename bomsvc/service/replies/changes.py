"""Changes between two revisions in the shape of the REST face."""

from __future__ import annotations

from bomsvc.core.prove.changes import Changed, OneOnly
from bomsvc.core.prove.structure import ListChange
from bomsvc.service.changes import RevisionChanges, TouchedEngine
from bomsvc.service.shapes import revision_name

Shape = dict[str, object]


def changes_shape(found: RevisionChanges) -> Shape:
    """Return the changes: document by list, then places, builds and engines.

    A position's difference is exact. A joint or a job is named where what it is
    made of differs, so that its list may.
    """
    changes = found.changes
    return {
        "since": revision_name(found.since),
        "revision": revision_name(found.revision),
        "document": {name: _list(c) for name, c in changes.lists.items()},
        "comparable": changes.comparable,
        "places": [_place(place) for place in changes.places],
        "builds": [_one_only(one) for one in changes.one_only],
        "engines": [_engine(engine) for engine in found.engines],
    }


def _list(change: ListChange) -> Shape:
    return {
        "added": list(change.added),
        "removed": list(change.removed),
        "edited": [{"at": at, "fields": list(names)} for at, names in change.edited],
    }


def _place(place: Changed) -> Shape:
    return {
        place.kind: place.at,
        "label": place.label,
        "when": place.when,
        "terms": place.terms,
        "complete": place.complete,
        "settled": place.settled,
        "build": place.build,
    }


def _one_only(one: OneOnly) -> Shape:
    return {
        "valid_in": one.valid_in,
        "when": one.when,
        "terms": one.terms,
        "complete": one.complete,
        "build": one.build,
    }


def _engine(engine: TouchedEngine) -> Shape:
    return {
        "family": engine.family,
        "serial": engine.serial,
        "state": engine.state,
        "detail": engine.detail,
        "places": [{d.kind: d.at} for d in engine.places],
    }
