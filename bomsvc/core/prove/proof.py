"""The proof of one revision: every check of the registry, over every valid build."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from bomsvc.core.logic.budget import Budget
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.prove.asked import Asked
from bomsvc.core.prove.circuit import extended
from bomsvc.core.prove.conditions import (
    Written,
    check_conditions,
    written_conditions,
)
from bomsvc.core.prove.consequences import with_causes
from bomsvc.core.prove.findings import SEVERITY, Figures, Finding, Report
from bomsvc.core.prove.ground import PROOF_BUDGET, Ground, Watch, unwatched
from bomsvc.core.prove.holes import check_holes, check_quantities
from bomsvc.core.prove.jobs import JobProof
from bomsvc.core.prove.joints import JointProof
from bomsvc.core.prove.options import (
    check_choices,
    check_idle_options,
    check_unaskable,
)
from bomsvc.core.prove.positions import (
    check_fitments,
    check_parts,
    position_questions,
)
from bomsvc.core.prove.questions import Question, answered, not_proven, plain
from bomsvc.core.prove.rules import check_rules
from bomsvc.core.prove.subject import Subject
from bomsvc.core.prove.work import work_questions

Check = Callable[[Subject, Ground], Iterator[Finding]]
Heed = Callable[[Finding], None]

CHECKS: tuple[Check, ...] = (
    check_choices,
    check_idle_options,
    check_rules,
    check_fitments,
    check_parts,
    check_holes,
    check_quantities,
    check_unaskable,
)
"""Checks that ask for themselves. Adding one is a module and a line here."""

QUESTIONS: tuple[Callable[[Subject], Iterator[Question]], ...] = (
    position_questions,
    work_questions,
)
"""Checks of which every finding is "is there a build with all of these"."""

_TELL_EVERY = 64


def unheeded(finding: Finding) -> None:
    """Let every finding pass."""
    del finding


@dataclass(frozen=True, slots=True)
class Proven:
    """A report, and the ground that it stands on."""

    report: Report
    ground: Ground


def prove(
    compiled: Compiled,
    *,
    budget: Budget = PROOF_BUDGET,
    watch: Watch = unwatched,
    heed: Heed = unheeded,
) -> Report:
    """Prove a revision.

    Args:
        compiled: The compiled revision.
        budget: Conflicts that one question may take; beyond it is `not_proven`.
        watch: Told how far the proof is; what it raises ends the proof.
        heed: Told each finding as it is found; what it raises ends the proof.

    Returns:
        Every finding, by code in the order of `SEVERITY`, then document order.
    """
    return proven(compiled, budget=budget, watch=watch, heed=heed).report


def proven(
    compiled: Compiled,
    *,
    budget: Budget = PROOF_BUDGET,
    watch: Watch = unwatched,
    heed: Heed = unheeded,
    keep_refuted: bool = False,
) -> Proven:
    """Prove a revision and keep the ground, with the questions it refuted."""
    # Whoever wants a trace of each verdict wants what the form tells asked as well.
    subject = Subject(compiled, by_form=not keep_refuted)
    written = written_conditions(subject)
    questions = tuple(q for ask in QUESTIONS for q in ask(subject))
    asked = Asked(subject)
    ground = Ground(
        extended(compiled, subject.circuit), budget=budget, keep_refuted=keep_refuted
    )
    run = _Run(subject, ground, written, questions, asked, watch)
    found = []
    for finding in run.findings():
        heed(finding)
        found.append(finding)
    usual = ground.usual()
    findings = tuple(with_causes(subject, sorted(found, key=_place), usual))
    figures = Figures(
        positions=len(compiled.standing.positions),
        fitments=sum(len(p.fitments) for p in compiled.standing.positions.values()),
        hole_groups=sum(len(j.groups) for j in compiled.standing.joints.values()),
        questions=ground.asked,
        combinations=run.combinations,
    )
    report = Report(compiled.digest, findings, figures, usual)
    return Proven(report, ground)


_ORDER = {code: number for number, code in enumerate(SEVERITY)}


def _place(finding: Finding) -> int:
    return _ORDER[finding.code]


class _Run:
    """One proof under way."""

    def __init__(
        self,
        subject: Subject,
        ground: Ground,
        written: tuple[Written, ...],
        questions: tuple[Question, ...],
        asked: Asked,
        watch: Watch,
    ) -> None:
        self._subject = subject
        self._ground = ground
        self._written = written
        self._questions = questions
        self._asked = asked
        self._watch = watch
        singly = len(subject.standing.joints) + len(subject.standing.jobs)
        self._total = len(CHECKS) + 1 + len(questions) + singly
        self._done = 0
        self.combinations = 0

    def findings(self) -> Iterator[Finding]:
        """Yield every finding, check by check."""
        self._watch(0, self._total)
        possible = self._ground.possible(())
        family = self._subject.catalogue.family
        if possible is None:
            yield not_proven(family.code, "/rules", "no_valid_build")
            return
        if not possible:
            detail = (
                "No build satisfies the options and rules of this revision together."
            )
            yield plain("no_valid_build", family.code, "/rules", detail)
            return
        yield from self._checks()
        told = set()
        for finding in self._jobs():
            told.add((finding.code, finding.at))
            yield finding
        for question in self._questions:
            self._ground.about = f"{question.code} {question.at}"
            if (question.code, question.at) not in told:
                yield from answered(self._ground, question)
            self._tell()
        yield from self._joints()

    def _checks(self) -> Iterator[Finding]:
        for check in CHECKS:
            self._ground.about = check.__name__.removeprefix("check_")
            yield from check(self._subject, self._ground)
            self._tell(at_once=True)
        self._ground.about = "conditions"
        yield from check_conditions(self._ground, self._written)
        self._tell(at_once=True)

    def _jobs(self) -> Iterator[Finding]:
        proof = JobProof(self._subject, self._ground, self._asked)
        for key in self._subject.standing.jobs:
            self._ground.about = f"job {key}"
            yield from proof.findings_of(key)
            self._tell()

    def _joints(self) -> Iterator[Finding]:
        proof = JointProof(self._subject, self._ground)
        for joint in self._subject.standing.joints.values():
            self._ground.about = f"joint {joint.key}"
            yield from proof.findings_of(joint)
            self._tell(at_once=True)
        self.combinations = proof.combinations
        self._watch(self._total, self._total)

    def _tell(self, *, at_once: bool = False) -> None:
        self._done += 1
        if at_once or self._done % _TELL_EVERY == 0:
            self._watch(self._done, self._total)
