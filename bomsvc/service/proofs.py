"""Use cases of the proof: prove a revision, read its report, hold a publishing back.

A report is kept by the digest of what was proven, so that publishing asks for it
and not for the proof again. A draft whose proof finds no fault is marked proven.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

from bomsvc.core.catalogue import Catalogue
from bomsvc.core.logic.budget import Budget
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.prove import Report, prove
from bomsvc.core.prove.allowance import IsSpent, proven_at_once
from bomsvc.core.prove.ground import PROOF_BUDGET, Watch, unwatched
from bomsvc.service.catalogues import (
    catalogue_of,
    get_revision,
    read_document,
    subject_of,
)
from bomsvc.service.desk import Acting, Desk, enter
from bomsvc.service.gate import Finding
from bomsvc.service.json_bytes import decode_stored, encode_json
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.reasoners import Reasoners
from bomsvc.service.records import KeptProof, RevisionHead
from bomsvc.service.refusals import Missing
from bomsvc.service.replies.proof import Shape, report_shape
from bomsvc.service.shapes import revision_name

PROOF_KIND = "prove"
"""What a task that proves says it does."""

LONG_FROM = 6_000
"""Size (see `size_of`) from which a proof runs in a process of its own."""

Patience = Callable[[], IsSpent]
"""Begins to wait; what it returns tells when that has been long enough."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A revision to be proven: its head and document, and what a question may take."""

    head: RevisionHead
    document: bytes
    budget: Budget = PROOF_BUDGET

    @property
    def is_large(self) -> bool:
        """Whether the proof is worth a process of its own, whatever it says."""
        return size_of(self.document) >= LONG_FROM


def size_of(document: bytes) -> int:
    """Return how large a document is, in fitments; a group of holes counts as ten."""
    tree = cast("dict[str, Any]", decode_stored(document))
    groups = sum(len(joint["groups"]) for joint in tree.get("joints", ()))
    return len(tree.get("fitments", ())) + 10 * groups


def ask_for_proof(
    uow: UnitOfWork, *, family: str, number: int, conflicts: int | None = None
) -> Asked:
    """Return what is to be proven.

    Raises:
        Missing: There is no such family or revision.
    """
    head, document = read_document(uow, family, number)
    budget = PROOF_BUDGET if conflicts is None else Budget(conflicts=conflicts)
    return Asked(head, document, budget)


def prove_now(asked: Asked, reasoners: Reasoners, *, watch: Watch = unwatched) -> Shape:
    """Prove a revision and return the report as the reply has it."""
    compiled = _compiled(asked, reasoners)
    report = prove(compiled, budget=asked.budget, watch=watch)
    return report_shape(report, revision_name(asked.head))


def prove_at_once(
    asked: Asked, reasoners: Reasoners, *, patience: Patience
) -> Shape | None:
    """Return the report where somebody can wait for it; None where it takes long.

    A large document is not tried, and a small one may be hard: its proof is given
    up when patience ends.
    """
    if asked.is_large:
        return None
    is_spent = patience()
    compiled = _compiled(asked, reasoners)
    report = proven_at_once(compiled, budget=asked.budget, is_spent=is_spent)
    return None if report is None else report_shape(report, revision_name(asked.head))


def _compiled(asked: Asked, reasoners: Reasoners) -> Compiled:
    return reasoners.compiled_for(
        asked.head.digest, lambda: catalogue_of(asked.head, asked.document)
    ).compiled


def keep_report(
    desk: Desk, uow: UnitOfWork, acting: Acting, *, head: RevisionHead, report: Shape
) -> RevisionHead:
    """Keep a report; a draft without faults, still the same, is marked proven.

    One that a small budget left unproven does not take the place of a proven one.

    Raises:
        Missing: The revision was deleted meanwhile.
    """
    now = desk.now()
    kept = KeptProof(head.digest, encode_json(report), now, acting.who)
    uow.revisions.lock_family(head.family, now)
    current = get_revision(uow, head.family, head.number)
    if report["proven"] or not _is_proven(uow.proofs.get(head.digest)):
        uow.proofs.keep(kept)
    if current.digest != head.digest or current.state != "draft" or _faults(report):
        return current
    marked = replace(current, state="proven", version=current.version + 1)
    uow.revisions.mark(marked)
    enter(
        desk,
        uow,
        acting,
        action="prove",
        kind="revision",
        subject=subject_of(marked),
        detail={"digest": marked.digest, "version": marked.version},
    )
    return marked


@dataclass(frozen=True, slots=True)
class ProofReport:
    """A report with the revision that it speaks of.

    Attributes:
        shape: The report as the reply has it.
        compiled: The revision, for its words.
        number: The revision's number; None for a document that is not kept.
    """

    shape: Shape
    compiled: Compiled
    number: int | None = None

    @property
    def digest(self) -> str:
        """The digest of what was proven."""
        return self.compiled.digest

    @property
    def name(self) -> str:
        """The family and the revision as people write them."""
        family = self.compiled.catalogue.family
        name = f"{family.maker} {family.name}" if family.maker else family.name
        return name if self.number is None else f"{name}, revision {self.number}"


def report_to_print(
    desk: Desk, uow: UnitOfWork, *, family: str, number: int
) -> ProofReport:
    """Return the last report of a revision with the words it needs on paper.

    Raises:
        Missing: There is no such revision, or it was not proven yet.
    """
    shape = cast(
        "Shape", decode_stored(last_report(desk, uow, family=family, number=number))
    )
    head, document = read_document(uow, family, number)
    compiled = _compiled(Asked(head, document), desk.reasoners)
    return ProofReport(shape, compiled, number)


def last_report(desk: Desk, uow: UnitOfWork, *, family: str, number: int) -> bytes:
    """Return the last report of a revision as JSON.

    Raises:
        Missing: There is no such revision, or it was not proven yet.
    """
    head = get_revision(uow, family, number)
    kept = uow.proofs.get(head.digest)
    if kept is None:
        raise Missing(
            f"Revision {number} of {family!r} has not been proven.",
            remedy=_until_proven(desk, head),
        )
    # The same document may have been proven under another number.
    report = cast("Shape", decode_stored(kept.report))
    return encode_json({**report, "revision": revision_name(head)})


def _until_proven(desk: Desk, head: RevisionHead) -> str:
    """Say what to do until there is a report: wait, where a proof is under way."""
    task = desk.tasks.under_way(
        kind=PROOF_KIND, subject=subject_of(head), of=(head.digest,)
    )
    if task is None:
        return "Prove it first."
    return f"A proof of it is under way: look at /api/v1/tasks/{task.id}."


def _is_proven(kept: KeptProof | None) -> bool:
    if kept is None:
        return False
    return bool(cast("Shape", decode_stored(kept.report))["proven"])


class KeptProofGate:
    """Holds a publishing back by the kept report; short proofs are made on the spot.

    `patience` is for where requests wait; None on the command line, where people
    wait as long as they like.
    """

    def __init__(
        self, reasoners: Reasoners, *, patience: Patience | None = None
    ) -> None:
        self._reasoners = reasoners
        self._patience = patience

    def findings(
        self, uow: UnitOfWork, head: RevisionHead, catalogue: Catalogue
    ) -> Sequence[Finding]:
        """Return the report's findings; a long proof not made yet is a fault."""
        kept = uow.proofs.get(head.digest)
        if kept is not None:
            return _findings(cast("Shape", decode_stored(kept.report)))
        report = self._made(Asked(head, catalogue.canonical))
        return (_not_proven(head),) if report is None else _findings(report)

    def _made(self, asked: Asked) -> Shape | None:
        if self._patience is not None:
            return prove_at_once(asked, self._reasoners, patience=self._patience)
        return None if asked.is_large else prove_now(asked, self._reasoners)


def _not_proven(head: RevisionHead) -> Finding:
    detail = "This revision has not been proven yet; prove it, then publish it."
    return Finding("not_proven", "fault", head.family, "", detail)


def _findings(report: Shape) -> tuple[Finding, ...]:
    found = cast("list[Mapping[str, Any]]", report["findings"])
    return tuple(Finding(**finding) for finding in found)


def _faults(report: Shape) -> bool:
    return any(finding.severity == "fault" for finding in _findings(report))


__all__ = [
    "Asked",
    "KeptProofGate",
    "ProofReport",
    "Report",
    "ask_for_proof",
    "keep_report",
    "last_report",
    "prove_at_once",
    "prove_now",
    "report_to_print",
]
