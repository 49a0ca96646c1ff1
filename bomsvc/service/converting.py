"""The use case that converts an engine to changed answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.questions import Question, ToMeasure
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.convert import Converted, convert
from bomsvc.core.resolve.converting import after_change
from bomsvc.core.resolve.lines import Clashing as CoreClash
from bomsvc.core.resolve.lines import Place, Resolved
from bomsvc.core.resolve.resolving import resolve
from bomsvc.core.resolve.scope import Scope
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.service.builds import (
    Asked,
    Problems,
    Stand,
    plain_answers,
    reach,
    settled,
    stand_of,
)
from bomsvc.service.desk import Desk
from bomsvc.service.refusals import Clashing
from bomsvc.service.replies.convert import convert_reply
from bomsvc.service.replies.identify import clash_reply
from bomsvc.service.replies.resolve import measure_form, place_form, question_form

Json = dict[str, object]
T = TypeVar("T")
FROM = "from"
CHANGES = "changes"


@dataclass(frozen=True, slots=True)
class Unknown:
    """What the conversion may also change: too little is known of the engine.

    Attributes:
        places: Places that may take something else afterwards.
        questions: What settles them, the best one first.
        to_measure: What settles them after strip-down.
    """

    places: tuple[Place, ...] = ()
    questions: tuple[Question, ...] = ()
    to_measure: tuple[ToMeasure, ...] = ()


@dataclass(frozen=True, slots=True)
class Conversion:
    """A conversion, with the engine it was made for."""

    stand: Stand
    converted: Converted
    unknown: Unknown

    def reply(self) -> Json:
        """Return the conversion in the shape of the reply.

        `after` is what is then known of the engine, to be put on file.
        """
        after = self.converted.after
        return {
            "revision": self.stand.revision(),
            **convert_reply(self.converted),
            "may_change": {
                "places": [place_form(place) for place in self.unknown.places],
                "questions": [question_form(one) for one in self.unknown.questions],
                "to_measure": [measure_form(one) for one in self.unknown.to_measure],
            },
            "after": {
                "answers": answers_of(after),
                "sources": {e.name: e.source for e in after.entries if e.source},
                "waive": list(after.waived),
            },
        }


def convert_build(
    desk: Desk, family: str, asked: Asked, changes: Mapping[str, object]
) -> Conversion:
    """Say what turns an engine into one with changed answers.

    Args:
        desk: The service's ports.
        family: The family's code.
        asked: What is known of the engine as it is.
        changes: Option key to the answer that is to hold afterwards.

    Raises:
        Missing, Conflict, BadInput: As for `stand_at`.
        Clashing: The engine as told, or the engine changed so, cannot be.
    """
    with desk.store.read() as uow:
        head, reasoner = reach(desk, uow, family, asked.revision)
    problems = Problems()
    stand = problems.keep(_placed(FROM, lambda: stand_of(head, reasoner, asked)))
    wanted = problems.keep(_placed(CHANGES, lambda: _changes(reasoner, changes)))
    problems.raise_any()
    assert stand is not None, "a request without problems has its engine"
    assert wanted is not None, "a request without problems has its changes"
    with settled():
        _refuse_impossible(stand, wanted)
        converted = convert(reasoner, stand.known, wanted)
        assert not isinstance(converted, CoreClash), "a clash was refused before"
        unknown = _unknown(reasoner, stand.known, converted)
    return Conversion(stand, converted, unknown)


def _unknown(reasoner: Reasoner, before: Known, converted: Converted) -> Unknown:
    """Say which unsettled places may differ afterwards, and what settles them.

    A place that may take the same before and after stays as it is, whatever that
    is: options that nobody mentions do not change.
    """
    unsettled = converted.unsettled
    olds, news = (
        _may_take(_listed(reasoner, known, unsettled))
        for known in (before, converted.after)
    )
    touched = tuple(p for p in unsettled if olds.get(p) != news.get(p))
    if not touched:
        return Unknown()
    asked = _listed(reasoner, before, touched)
    return Unknown(touched, asked.questions, asked.to_measure)


def _listed(reasoner: Reasoner, known: Known, places: Sequence[Place]) -> Resolved:
    def keys(kind: str) -> tuple[Key, ...]:
        return tuple(dict.fromkeys(p.key for p in places if p.kind == kind))

    scope = Scope(positions=keys("position"), joints=keys("joint"))
    found = resolve(reasoner, known, scope)
    assert not isinstance(found, CoreClash), "a clash was refused before"
    return found


def _may_take(found: Resolved) -> dict[Place, frozenset[object]]:
    """Return what each place takes, or every set of parts it may take."""
    takes: dict[Place, set[object]] = {}
    for line in found.lines:
        if line.state == "certain":
            for place in line.places:
                takes.setdefault(place, set()).add((line.part, line.wanted))
    for still in found.open:
        takes.setdefault(still.place, set()).update(
            tuple((p.part, p.wanted, p.qty) for p in one.parts)
            for one in still.candidates
        )
    return {place: frozenset(taken) for place, taken in takes.items()}


def _changes(reasoner: Reasoner, changes: Mapping[str, object]) -> Known:
    if not changes:
        detail = "Say which options change, and to what."
        raise BadInput([Problem("/answers", detail, "required")])
    return read_answers(reasoner.compiled, plain_answers(changes))


def _placed(field: str, read: Callable[[], T]) -> Callable[[], T]:
    """Let what is wrong with answers point at the field they came in."""

    def placed() -> T:
        try:
            return read()
        except BadInput as bad:
            raise BadInput(_moved(one, field) for one in bad.problems) from None

    return placed


def _moved(problem: Problem, field: str) -> Problem:
    head, _, rest = problem.pointer.removeprefix("/").partition("/")
    if head != "answers":
        return problem
    return replace(problem, pointer=f"/{field}/{rest}".rstrip("/"))


def _refuse_impossible(stand: Stand, changes: Known) -> None:
    """Refuse an engine that cannot be, and changes that no such engine can have."""
    reasoner, before = stand.reasoner, stand.known
    _refuse(
        stand,
        before,
        "No valid build agrees with all that is said of the engine as it is.",
    )
    _refuse(stand, changes, "No valid build has all of these changes.")
    _refuse(
        stand,
        after_change(reasoner, before, changes),
        "This engine cannot be changed so.",
    )


def _refuse(stand: Stand, known: Known, detail: str) -> None:
    if stand.reasoner.consistent(known):
        return
    clash = clash_reply(stand.reasoner.clash(known))
    raise Clashing(
        detail,
        remedy="Take back one of the repairs, or waive a rule for this engine.",
        extra={"revision": stand.revision(), "clash": clash},
    )


def answers_of(known: Known) -> Json:
    """Return what is known as answers of a request.

    Choices of an option that takes several are told one by one.
    """
    answers: Json = {}
    for entry in known.entries:
        if entry.name == entry.key:
            answers[entry.key] = entry.typed
        else:
            told = answers.setdefault(entry.key, {})
            assert isinstance(told, dict), "an option is told whole or by its choices"
            told[entry.name.rpartition(".")[2]] = entry.typed
    unseen = {key: {"unseen": True} for key in known.unseen if key not in answers}
    return answers | dict(sorted(unseen.items()))
