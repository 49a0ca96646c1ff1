"""A comparison as a task: what runs in the process of its own, and what is kept."""

from __future__ import annotations

from multiprocessing.connection import Connection

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.budget import Unsettled
from bomsvc.core.terms.json_text import read_json
from bomsvc.service.changes import compare
from bomsvc.service.comparisons import AskedChanges, compared_bytes
from bomsvc.service.desk import Acting, Desk
from bomsvc.service.reasoners import make_reasoner
from bomsvc.service.records import EngineOnFile
from bomsvc.service.tasks import Task, Work

KIND = "compare"


def comparison_under_way(desk: Desk, asked: AskedChanges) -> Task | None:
    """Return the task that compares these revisions; None: none does."""
    return desk.tasks.under_way(kind=KIND, subject=asked.subject, of=asked.digests)


def start_comparison(desk: Desk, acting: Acting, asked: AskedChanges) -> Task:
    """Start comparing two revisions in a process of its own."""
    head = asked.revision

    def keep(made: bytes) -> str:
        desk.comparisons.keep(asked.digests, made)
        place = f"/api/v1/families/{head.family}/revisions/{head.number}/changes"
        return f"{place}?since={asked.since.number}"

    return desk.tasks.start(
        Work(compare_apart, (asked.documents, asked.engines), keep, of=asked.digests),
        kind=KIND,
        subject=asked.subject,
        who=acting.who,
        at=desk.now(),
    )


def compare_apart(
    documents: tuple[bytes, bytes],
    engines: tuple[EngineOnFile, ...],
    tell: Connection,
) -> None:
    """Compare two documents and tell progress and result; runs in its own process."""

    def watch(done: int, total: int) -> None:
        tell.send(("progress", done, total))

    try:
        before, after = (
            make_reasoner(read_catalogue(read_json(document))) for document in documents
        )
        made = compare(before, after, engines, watch=watch)
        tell.send(("result", compared_bytes(engines, made)))
    except MemoryError:
        tell.send(("failed", "It needed more memory than there is."))
    except Unsettled:
        tell.send(("failed", "Not settled within the budget."))
