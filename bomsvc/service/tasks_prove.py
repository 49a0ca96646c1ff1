"""A proof as a task: what runs in the process of its own, and what is kept of it."""

from __future__ import annotations

from multiprocessing.connection import Connection
from typing import cast

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.budget import Budget
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.prove import prove
from bomsvc.core.terms.json_text import read_json
from bomsvc.service.catalogues import subject_of
from bomsvc.service.desk import Acting, Desk
from bomsvc.service.json_bytes import decode_stored, encode_json
from bomsvc.service.proofs import PROOF_KIND, Asked, keep_report
from bomsvc.service.replies.proof import Shape, report_shape
from bomsvc.service.shapes import revision_name
from bomsvc.service.tasks import Task, Work


def start_proof(desk: Desk, acting: Acting, asked: Asked) -> Task:
    """Start the proof of a revision in a process of its own."""
    head = asked.head
    revision = revision_name(head)

    def keep(report: bytes) -> str:
        with desk.store.write() as uow:
            tree = cast("Shape", decode_stored(report))
            keep_report(desk, uow, acting, head=head, report=tree)
            uow.commit()
        return f"/api/v1/families/{head.family}/revisions/{head.number}/proof"

    conflicts = asked.budget.conflicts
    arguments = (asked.document, revision, conflicts)
    of = (head.digest, str(conflicts))
    return desk.tasks.start(
        Work(prove_apart, arguments, keep, of=of),
        kind=PROOF_KIND,
        subject=subject_of(head),
        who=acting.who,
        at=desk.now(),
    )


def prove_apart(
    document: bytes, revision: Shape, conflicts: int, tell: Connection
) -> None:
    """Prove a document and tell progress and report; runs in its own process."""

    def watch(done: int, total: int) -> None:
        tell.send(("progress", done, total))

    try:
        catalogue = read_catalogue(read_json(document))
        budget = Budget(conflicts=conflicts)
        report = prove(compile_catalogue(catalogue), budget=budget, watch=watch)
        tell.send(("result", encode_json(report_shape(report, revision))))
    except MemoryError:
        tell.send(("failed", "It needed more memory than there is."))
