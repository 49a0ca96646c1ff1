"""Use cases on a build: identify, resolve, count.

They read the revision and the engine on file, let go of the database, and reason
without it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from typing import TypeVar

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.budget import Unsettled
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve.lines import Clashing as CoreClash
from bomsvc.core.resolve.lines import Resolved
from bomsvc.core.resolve.resolving import resolve
from bomsvc.core.resolve.scope import Scope, read_by_way_of, read_scope
from bomsvc.core.terms.numbers import Number
from bomsvc.core.terms.pointers import join, split
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.core.terms.words import nearest
from bomsvc.service.catalogues import catalogue_of, kept_document, revision_in_force
from bomsvc.service.desk import Desk
from bomsvc.service.filed import beside_the_filed
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.records import EngineOnFile, RevisionHead
from bomsvc.service.refusals import Clashing, NotSettled
from bomsvc.service.replies.identify import clash_reply, identify_reply
from bomsvc.service.replies.resolve import resolve_reply
from bomsvc.service.shapes import revision_name

SERIAL = "serial"
MOST_DIGITS = 12
UNIFORM, ON_FILE = "uniform", "engines_on_file"
WEIGHINGS = (UNIFORM, ON_FILE)
"""How likely the cases are taken to be when the next question is chosen."""
MOST_WEIGHED = 2_000
"""Engines on file looked at, those first on file first."""
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Asked:
    """A request about a build.

    Attributes:
        revision: The revision's number, None for the published one.
        answers: Option key to answer, in the forms of a request.
        sources: Option key to source.
        waive: Factory rules set aside for this engine.
        explain: Choices whose reasons are wanted, `pto.front`.
        engine: An engine on file; what was typed wins over what is on file.
    """

    revision: int | None = None
    answers: Mapping[str, object] = field(default_factory=dict)
    sources: Mapping[str, str] = field(default_factory=dict)
    waive: tuple[str, ...] = ()
    explain: tuple[str, ...] = ()
    engine: EngineOnFile | None = None


@dataclass(frozen=True, slots=True)
class Stand:
    """A revision ready for reasoning and what is known of the engine."""

    head: RevisionHead
    reasoner: Reasoner
    known: Known
    serial: str | None = None
    """The serial as typed or on file, for headings."""

    def revision(self) -> dict[str, object]:
        """Return the revision as replies name it."""
        return revision_name(self.head)


@dataclass(frozen=True, slots=True)
class Listed:
    """A list, with what it was made from."""

    stand: Stand
    scope: Scope
    resolved: Resolved

    def reply(self) -> dict[str, object]:
        """Return the list in the shape of the reply."""
        return resolve_reply(
            self.resolved,
            revision=self.stand.revision(),
            sheets=frozenset(self.scope.joints),
        )


def stand_at(desk: Desk, uow: UnitOfWork, family: str, asked: Asked) -> Stand:
    """Find the revision, compile it where needed, and read the answers.

    Raises:
        Missing, Conflict: No such family or revision, or none published.
        BadInput: Answers, sources or waived rules that cannot be read.
    """
    return stand_of(*reach(desk, uow, family, asked.revision), asked)


def reach(
    desk: Desk, uow: UnitOfWork, family: str, number: int | None
) -> tuple[RevisionHead, Reasoner]:
    """Find the revision and compile it where needed.

    Raises:
        Missing, Conflict: No such family or revision, or none published.
    """
    head = revision_in_force(uow, family, number)
    reasoner = desk.reasoners.compiled_for(
        head.digest,
        lambda: catalogue_of(head, kept_document(uow, head)),
    )
    return head, reasoner


def stand_of(head: RevisionHead, reasoner: Reasoner, asked: Asked) -> Stand:
    """Read what is known against a compiled revision.

    Raises:
        BadInput: Answers, sources or waived rules that cannot be read.
    """
    merged = with_engine(_beside_the_filed(reasoner, asked))
    answers = plain_answers(merged.answers)
    try:
        known = read_answers(
            reasoner.compiled, answers, sources=merged.sources, waive=merged.waive
        )
    except BadInput as bad:
        raise BadInput(_placed(one, asked, merged) for one in bad.problems) from None
    typed = answers.get(SERIAL)
    serial = str(typed) if isinstance(typed, int | str) else None
    return Stand(head, reasoner, known, serial)


def _beside_the_filed(reasoner: Reasoner, asked: Asked) -> Asked:
    if asked.engine is None:
        return asked
    answers, sources = beside_the_filed(
        reasoner.compiled, asked.engine, asked.answers, asked.sources
    )
    return replace(asked, answers=answers, sources=sources)


def with_engine(asked: Asked) -> Asked:
    """Return the request with what is on file below what was typed."""
    engine = asked.engine
    if engine is None:
        return asked
    filed = {**engine.answers, SERIAL: engine.serial}
    kept = {key: value for key, value in filed.items() if key not in asked.answers}
    sources = {
        key: source
        for key, source in engine.sources.items()
        if key in kept or key.rpartition(".")[0] in kept
    }
    return replace(
        asked,
        answers={**kept, **asked.answers},
        sources={**sources, **asked.sources},
        waive=tuple(dict.fromkeys((*engine.waived, *asked.waive))),
    )


def _placed(problem: Problem, asked: Asked, merged: Asked) -> Problem:
    """Point at the engine where it is what is on file that cannot be read.

    A revision may have renamed an option or a rule since it was written down.
    """
    engine = asked.engine
    field, word, *_ = (*split(problem.pointer), "", "")
    if engine is None or field not in ("answers", "sources", "waive"):
        return problem
    if field == "waive":
        word = merged.waive[int(word)]
    typed = getattr(asked, field)
    if word not in typed:
        return replace(problem, pointer="/engine", detail=_of_file(engine, problem))
    if field == "waive":
        return replace(problem, pointer=join("/waive", typed.index(word)))
    return problem


def _of_file(engine: EngineOnFile, problem: Problem) -> str:
    return (
        f"This comes from what is on file of {engine.serial}: {problem.detail}"
        f" Put it right with PUT /engines/{engine.serial}, or leave the engine out and"
        " send its answers."
    )


def plain_answers(answers: Mapping[str, object]) -> dict[str, object]:
    """Return answers with whole numbers for numbers as written."""
    return {key: _plain(value) for key, value in answers.items()}


def _plain(value: object) -> object:
    if isinstance(value, Number):
        exact = value.decimal
        # Far beyond any serial, so that no exponent makes a number of a gigabyte.
        sensible = exact.is_finite() and exact.adjusted() < MOST_DIGITS
        whole = sensible and exact == exact.to_integral_value()
        return int(exact) if whole else value.text
    if isinstance(value, Mapping):
        return plain_answers(value)
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value


def identify(desk: Desk, family: str, asked: Asked) -> dict[str, object]:
    """Say what follows from the answers, in the shape of the reply.

    Raises:
        Missing, Conflict, BadInput: As for `stand_at`.
    """
    with desk.store.read() as uow:
        stand = stand_at(desk, uow, family, asked)
    explain = _explained(stand.reasoner, asked.explain)
    with settled():
        identified = stand.reasoner.identify(stand.known, explain)
    return identify_reply(identified, revision=stand.revision())


def _explained(reasoner: Reasoner, names: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """Read the choices to be explained, written option.choice."""
    choices = {
        f"{key}.{code}": (key, code)
        for key, option in reasoner.compiled.options.items()
        for code in option.choices
    }
    problems = [
        Problem(
            f"/explain/{index}",
            f"There is no choice {name!r}; write it as option.choice.",
            "choice_unknown",
            remedy=nearest(name, choices),
        )
        for index, name in enumerate(names)
        if name not in choices
    ]
    if problems:
        raise BadInput(problems)
    return tuple(choices[name] for name in names)


def count_builds(desk: Desk, family: str, asked: Asked) -> dict[str, object]:
    """Count the builds that agree with the answers, exactly or not at all.

    Raises:
        Missing, Conflict, BadInput: As for `stand_at`.
    """
    with desk.store.read() as uow:
        stand = stand_at(desk, uow, family, asked)
    with settled():
        count = stand.reasoner.count(stand.known)
    left = None if count is None else str(count)
    return {"revision": stand.revision(), "builds_left": left}


def resolve_build(
    desk: Desk,
    family: str,
    asked: Asked,
    *,
    scope: Mapping[str, object],
    by_way_of: Sequence[str] = (),
    weigh: str = UNIFORM,
) -> Listed:
    """List what the scope takes on this engine.

    `weigh`, one of `WEIGHINGS`: whether the questions take all cases to be equally
    likely, or as frequent as among the family's engines on file.

    Raises:
        Missing, Conflict, BadInput: As for `stand_at`, and names in the scope.
        Clashing: The answers contradict one another, so there is no list.
    """
    with desk.store.read() as uow:
        head, reasoner = reach(desk, uow, family, asked.revision)
        filed = _on_file(uow, family) if weigh == ON_FILE else ()
    problems = Problems()
    problems.keep(lambda: _read_weighing(weigh))
    stand = problems.keep(lambda: stand_of(head, reasoner, asked))
    wanted = problems.keep(lambda: read_scope(reasoner.compiled, scope))
    pinned = problems.keep(lambda: read_by_way_of(reasoner.compiled, [*by_way_of]))
    problems.raise_any()
    assert stand is not None, "a request without problems has its answers"
    assert wanted is not None, "a request without problems has its scope"
    refuse_clash(stand)
    others = [engine for engine in filed if not _is_same(engine, asked.engine)]
    weights = tuple(_readable(head, reasoner, others))
    with settled():
        resolved = resolve(
            reasoner, stand.known, wanted, by_way_of=pinned or (), weights=weights
        )
    assert not isinstance(resolved, CoreClash), "a clash was refused before"
    return Listed(stand, wanted, resolved)


def _read_weighing(word: str) -> None:
    if word not in WEIGHINGS:
        near = nearest(word, WEIGHINGS)
        hint = f" Nearest: '{near}'." if near else ""
        words = " or ".join(WEIGHINGS)
        detail = f"Questions are weighed {words}, not '{word}'.{hint}"
        raise BadInput([Problem("/weigh", detail, "weighing_unknown", remedy=near)])


def _on_file(uow: UnitOfWork, family: str) -> tuple[EngineOnFile, ...]:
    found = uow.engines.listed(family=family, after=0, limit=MOST_WEIGHED)
    return tuple(engine for _key, engine in found)


def _is_same(engine: EngineOnFile, asked: EngineOnFile | None) -> bool:
    return asked is not None and engine.serial == asked.serial


def _readable(
    head: RevisionHead, reasoner: Reasoner, engines: Sequence[EngineOnFile]
) -> Iterator[Known]:
    """Yield what is known of each engine whose answers the revision can read."""
    for engine in engines:
        with suppress(BadInput):
            yield stand_of(head, reasoner, Asked(engine=engine)).known


class Problems:
    """Collects what several readers refuse, to tell all of it at once."""

    def __init__(self) -> None:
        self._found: list[Problem] = []

    def keep(self, read: Callable[[], T]) -> T | None:
        """Return what `read` gives, or None and keep what it refuses."""
        try:
            return read()
        except BadInput as bad:
            self._found.extend(bad.problems)
            return None

    def raise_any(self) -> None:
        """Raise everything that was refused, if anything was.

        Raises:
            BadInput: With every problem kept.
        """
        if self._found:
            raise BadInput(self._found)


def refuse_clash(stand: Stand) -> None:
    """Refuse answers that no build agrees with.

    Raises:
        Clashing: With the smallest contradiction and its repairs.
    """
    with settled():
        if stand.reasoner.consistent(stand.known):
            return
        clash = clash_reply(stand.reasoner.clash(stand.known))
    raise Clashing(
        "No valid build agrees with all of these answers.",
        remedy="Take back one of the repairs, or waive a rule for this engine.",
        extra={"revision": stand.revision(), "clash": clash},
    )


@contextmanager
def settled() -> Iterator[None]:
    """Tell a face when the budget ran out, rather than guess."""
    try:
        yield
    except Unsettled as end:
        raise NotSettled(
            "This was not settled within the budget.",
            remedy="Answer more options, or ask for less at once.",
        ) from end
