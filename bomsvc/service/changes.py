"""Use case: what changes between two revisions, and which engines it touches."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.prove.changes import Changes, Comparison
from bomsvc.core.prove.differences import Difference
from bomsvc.core.terms.problems import BadInput
from bomsvc.service.builds import plain_answers
from bomsvc.service.catalogues import catalogue_of, read_document
from bomsvc.service.desk import Desk
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.records import EngineOnFile, RevisionHead

ENGINES_AT_ONCE = 500
EngineState = Literal["invalid", "changed"]


@dataclass(frozen=True, slots=True)
class TouchedEngine:
    """An engine whose answers no longer hold, or whose lists may differ."""

    family: str
    serial: str
    state: EngineState
    places: tuple[Difference, ...] = ()
    detail: str | None = None


@dataclass(frozen=True, slots=True)
class RevisionChanges:
    """The changes since `since`, up to `revision`."""

    since: RevisionHead
    revision: RevisionHead
    changes: Changes
    engines: tuple[TouchedEngine, ...]


def changes_between(
    desk: Desk, uow: UnitOfWork, *, family: str, number: int, since: int
) -> RevisionChanges:
    """Return what changed between two revisions of a family.

    Raises:
        Missing: There is no such family or revision.
    """
    before, old = read_document(uow, family, since)
    after, new = read_document(uow, family, number)
    comparison = Comparison(catalogue_of(before, old), catalogue_of(after, new))
    later = desk.reasoners.compiled_for(after.digest, lambda: catalogue_of(after, new))
    engines = tuple(_touched(uow, family, comparison, later.compiled))
    return RevisionChanges(before, after, comparison.changes(), engines)


def _touched(
    uow: UnitOfWork, family: str, comparison: Comparison, later: Compiled
) -> Iterator[TouchedEngine]:
    after = 0
    while True:
        page = uow.engines.listed(family=family, after=after, limit=ENGINES_AT_ONCE)
        for key, engine in page:
            after = key
            found = _judged(engine, comparison, later)
            if found is not None:
                yield found
        if len(page) < ENGINES_AT_ONCE:
            return


def _judged(
    engine: EngineOnFile, comparison: Comparison, later: Compiled
) -> TouchedEngine | None:
    answers = plain_answers({**engine.answers, "serial": engine.serial})
    reasoner = comparison.reasoner
    waived = [rule for rule in engine.waived if rule in later.rules]
    try:
        read_answers(later, answers, sources=engine.sources, waive=waived)
        known = read_answers(reasoner.compiled, answers, sources=engine.sources)
    except BadInput as bad:
        detail = bad.problems[0].detail
        return TouchedEngine(engine.family, engine.serial, "invalid", detail=detail)
    if not engine.waived and not reasoner.consistent(known):
        detail = "No build valid in both revisions agrees with what is on file."
        return TouchedEngine(engine.family, engine.serial, "invalid", detail=detail)
    places = comparison.touched(known)
    if not places:
        return None
    return TouchedEngine(engine.family, engine.serial, "changed", places)
