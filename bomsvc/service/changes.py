"""Use case: what changes between two revisions, and which engines it touches."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.budget import Budget
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.prove.changes import Changes, Comparison, Touched
from bomsvc.core.prove.ground import PROOF_BUDGET, Watch, unwatched
from bomsvc.core.terms.problems import BadInput
from bomsvc.service.builds import plain_answers
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.records import EngineOnFile

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
class Compared:
    """Two revisions compared.

    Attributes:
        engines: What becomes of each engine asked about, in the order asked; None:
            nothing.
    """

    changes: Changes
    engines: tuple[TouchedEngine | None, ...]


def compare(
    before: Reasoner,
    after: Reasoner,
    engines: Sequence[EngineOnFile],
    *,
    budget: Budget = PROOF_BUDGET,
    watch: Watch = unwatched,
) -> Compared:
    """Return what changed between two revisions, and for which engines.

    Args:
        before: The earlier revision.
        after: The later one.
        engines: Engines on file.
        budget: What one question may take.
        watch: Told how far it is.

    Raises:
        Unsettled: The budget ran out.
    """
    catalogues = before.compiled.catalogue, after.compiled.catalogue
    comparison = Comparison(*catalogues, budget=budget, watch=watch)
    changes = comparison.changes()
    judge = _Judge(comparison, earlier=before, later=after)
    found = []
    total = comparison.size + len(engines)
    for done, engine in enumerate(engines, start=comparison.size):
        watch(done, total)
        found.append(judge.judged(engine))
    watch(total, total)
    return Compared(changes, tuple(found))


def engines_of(uow: UnitOfWork, family: str) -> Iterator[EngineOnFile]:
    """Yield the engines on file of a family."""
    after = 0
    while True:
        page = uow.engines.listed(family=family, after=after, limit=ENGINES_AT_ONCE)
        for key, engine in page:
            after = key
            yield engine
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
