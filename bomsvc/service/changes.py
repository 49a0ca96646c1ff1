"""Use case: what changes between two revisions, and which engines it touches."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.prove.changes import Changes, Comparison, Touched
from bomsvc.core.terms.problems import BadInput
from bomsvc.service.builds import plain_answers
from bomsvc.service.catalogues import catalogue_of, read_document
from bomsvc.service.desk import Desk
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.records import EngineOnFile, RevisionHead

ENGINES_AT_ONCE = 500
NO_BUILD = "No build agrees with what is on file any more."
NO_COMMON_BUILD = (
    "No build valid in both revisions agrees with what is on file: what is not known "
    "of it would have to be otherwise than before."
)
EngineState = Literal["invalid", "changed"]


@dataclass(frozen=True, slots=True)
class TouchedEngine:
    """An engine whose answers no longer hold, or whose lists or work may differ."""

    family: str
    serial: str
    state: EngineState
    places: tuple[Touched, ...] = ()
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
    judge = _Judge(
        comparison,
        earlier=desk.reasoners.compiled_for(
            before.digest, lambda: catalogue_of(before, old)
        ),
        later=desk.reasoners.compiled_for(
            after.digest, lambda: catalogue_of(after, new)
        ),
    )
    engines = tuple(_touched(uow, family, judge))
    return RevisionChanges(before, after, comparison.changes(), engines)


def _touched(uow: UnitOfWork, family: str, judge: _Judge) -> Iterator[TouchedEngine]:
    after = 0
    while True:
        page = uow.engines.listed(family=family, after=after, limit=ENGINES_AT_ONCE)
        for key, engine in page:
            after = key
            found = judge.judged(engine)
            if found is not None:
                yield found
        if len(page) < ENGINES_AT_ONCE:
            return


class _Judge:
    """Says of engines on file what the later revision makes of them."""

    def __init__(
        self, comparison: Comparison, *, earlier: Reasoner, later: Reasoner
    ) -> None:
        self._comparison = comparison
        self._earlier = earlier
        self._later = later

    def judged(self, engine: EngineOnFile) -> TouchedEngine | None:
        """Return what becomes of an engine; None: nothing.

        One that agreed with no build of the earlier revision has nothing to lose.
        """
        answers = plain_answers({**engine.answers, "serial": engine.serial})
        if self._refused(self._earlier, engine, answers) is not None:
            return None
        refused = self._refused(self._later, engine, answers)
        if refused is not None:
            return _told(engine, "invalid", refused)
        reasoner = self._comparison.reasoner
        known = replace(
            read_answers(reasoner.compiled, answers, sources=engine.sources),
            waived=self._comparison.waived(engine.waived),
        )
        if not reasoner.consistent(known):
            return _told(engine, "changed", NO_COMMON_BUILD)
        places = self._comparison.touched(known)
        if not places:
            return None
        return TouchedEngine(engine.family, engine.serial, "changed", places)

    @staticmethod
    def _refused(
        reasoner: Reasoner, engine: EngineOnFile, answers: Mapping[str, object]
    ) -> str | None:
        """Return why no build agrees with what is on file; None: one does."""
        rules = reasoner.compiled.rules.values()
        names = {name for rule in rules for name in (rule.key, rule.rule.code)}
        waived = [rule for rule in engine.waived if rule in names]
        try:
            known = read_answers(
                reasoner.compiled, answers, sources=engine.sources, waive=waived
            )
        except BadInput as bad:
            return bad.problems[0].detail
        return None if reasoner.consistent(known) else NO_BUILD


def _told(engine: EngineOnFile, state: EngineState, detail: str) -> TouchedEngine:
    return TouchedEngine(engine.family, engine.serial, state, detail=detail)
