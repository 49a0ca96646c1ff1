"""The use case that converts an engine to changed answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve.convert import Converted, convert
from bomsvc.core.resolve.converting import after_change
from bomsvc.core.resolve.lines import Clashing as CoreClash
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

Json = dict[str, object]
T = TypeVar("T")
FROM = "from"
CHANGES = "changes"


@dataclass(frozen=True, slots=True)
class Conversion:
    """A conversion, with the engine it was made for."""

    stand: Stand
    converted: Converted

    def reply(self) -> Json:
        """Return the conversion in the shape of the reply.

        `after` is what is then known of the engine, to be put on file.
        """
        after = self.converted.after
        return {
            "revision": self.stand.revision(),
            **convert_reply(self.converted),
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
    return Conversion(stand, converted)


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
