"""What checks ask, and how it is answered: one question, one possible finding."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from bomsvc.core.logic.budget import Unsettled
from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.standing import Lit
from bomsvc.core.prove.findings import SEVERITY, Finding, Severity
from bomsvc.core.prove.ground import Ground

Sentence = Callable[[Build], str]
"""Says what is wrong in the build that shows it."""


@dataclass(frozen=True, slots=True)
class Question:
    """A finding that stands when some valid build has all of `lits`."""

    code: str
    at: str
    pointer: str
    lits: tuple[Lit, ...]
    sentence: Sentence


def always_says(text: str) -> Sentence:
    """Return a sentence that is the same whichever build shows it."""

    def sentence(build: Build) -> str:
        del build
        return text

    return sentence


def answered(ground: Ground, question: Question) -> Iterator[Finding]:
    """Yield the question's finding, or that it was not settled."""
    verdict = ground.possible(question.lits)
    if verdict is False:
        return
    if verdict is None:
        yield not_proven(question.at, question.pointer, f"{question.code}")
        return
    try:
        build = ground.least(question.lits)
        shown = ground.shown(build)
    except Unsettled:
        yield not_proven(question.at, question.pointer, f"{question.code}")
        return
    yield Finding(
        question.code,
        SEVERITY[question.code],
        question.at,
        question.pointer,
        question.sentence(build),
        build,
        shown,
    )


def not_proven(at: str, pointer: str, what: str) -> Finding:
    """Return that a check was not settled: a fault, never clean."""
    words = what.replace("_", " ")
    detail = (
        f"Not settled within the budget: whether there is a build with the fault "
        f"'{words}' here. Simplify the conditions, or prove with a larger budget."
    )
    return Finding("not_proven", "fault", at, pointer, detail)


def plain(
    code: str, at: str, pointer: str, detail: str, *, severity: Severity | None = None
) -> Finding:
    """Return a finding that no build needs to show."""
    return Finding(code, severity or SEVERITY[code], at, pointer, detail)
