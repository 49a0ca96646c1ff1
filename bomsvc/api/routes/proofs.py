"""Proofs of revisions and the tasks that long ones run as."""

from __future__ import annotations

from collections.abc import Mapping

from bomsvc.api.fields import Body, Whole
from bomsvc.api.formats import wanted
from bomsvc.api.operation import Call, Operation, Reply
from bomsvc.api.paging import BEYOND_EVERY_NUMBER
from bomsvc.api.patience import patience
from bomsvc.exports.changes import CHANGES_FORMATS, ChangesPaper
from bomsvc.exports.proofs import PROOF_FORMATS
from bomsvc.service.comparisons import (
    AskedChanges,
    ask_for_changes,
    compare_at_once,
    kept_changes,
    reply_of,
)
from bomsvc.service.desk import enter
from bomsvc.service.permissions import Permission
from bomsvc.service.proofs import (
    ask_for_proof,
    keep_report,
    last_report,
    prove_at_once,
    report_to_print,
)
from bomsvc.service.tasks import Task
from bomsvc.service.tasks_compare import comparison_under_way, start_comparison
from bomsvc.service.tasks_prove import start_proof

CONFLICTS_MOST = 50_000_000
VARY = (("Vary", "Accept"),)


class Since(Body):
    """Which revision to compare with."""

    since = Whole(least=1, most=BEYOND_EVERY_NUMBER, required=True, from_text=True)


class ProofBody(Body):
    """How much one question of the proof may take."""

    conflicts = Whole(least=1, most=CONFLICTS_MOST, allow_none=True, load_default=None)


def prove_revision(call: Call) -> Reply:
    """Prove the revision over every valid build; a long proof becomes a task."""
    with call.desk.store.read() as uow:
        asked = ask_for_proof(
            uow,
            family=call.path["family"],
            number=call.path["number"],
            conflicts=call.body["conflicts"],
        )
    report = prove_at_once(asked, call.desk.reasoners, patience=patience)
    if report is None:
        task = start_proof(call.desk, call.acting, asked)
        return _handed_over(task)
    with call.desk.store.write() as uow:
        keep_report(call.desk, uow, call.acting, head=asked.head, report=report)
        uow.commit()
    return Reply(body=report)


def get_proof(call: Call) -> Reply:
    """Give the last report of a revision, as JSON or as a workbook to work down."""
    family, number = call.path["family"], call.path["number"]
    chosen = wanted(call, PROOF_FORMATS)
    with call.desk.store.read() as uow:
        if chosen is None:
            report = last_report(call.desk, uow, family=family, number=number)
            return Reply(body=report, headers=VARY)
        printed = report_to_print(call.desk, uow, family=family, number=number)
    return Reply(
        body=chosen.render(printed),
        media=chosen.media,
        headers=VARY,
        filename=f"proof-{family}-{number}{chosen.suffix}",
    )


def get_changes(call: Call) -> Reply:
    """Say what changed since another revision: document, lists, engines on file.

    As JSON, or as a workbook. A long comparison becomes a task; once it is done, the
    same request is answered at once.
    """
    chosen = wanted(call, CHANGES_FORMATS)
    with call.desk.store.read() as uow:
        asked = ask_for_changes(
            uow,
            family=call.path["family"],
            number=call.path["number"],
            since=call.query["since"],
        )
    shape = _compared(call, asked)
    if isinstance(shape, Task):
        return _handed_over(shape)
    if chosen is None:
        return Reply(body=shape, headers=VARY)
    head = asked.revision
    return Reply(
        body=chosen.render(ChangesPaper(head.name, shape)),
        media=chosen.media,
        headers=VARY,
        filename=f"changes-{head.family}-{head.number}{chosen.suffix}",
    )


def _compared(call: Call, asked: AskedChanges) -> Mapping[str, object] | Task:
    """Return the comparison: kept, or made while somebody waits; or its task."""
    desk = call.desk
    kept = kept_changes(desk.comparisons, asked)
    if kept is not None:
        return kept
    task = comparison_under_way(desk, asked)
    if task is not None:
        return task
    made = compare_at_once(asked, desk.reasoners, patience=patience)
    if made is None:
        return start_comparison(desk, call.acting, asked)
    desk.comparisons.keep(asked.digests, made)
    return reply_of(asked, made)


def _handed_over(task: Task) -> Reply:
    location = ("Location", f"/api/v1/tasks/{task.id}")
    return Reply(202, task_shape(task), headers=(location,))


def get_task(call: Call) -> Reply:
    """Show how far a task is."""
    return Reply(body=task_shape(call.desk.tasks.get(call.path["task_id"])))


def cancel_task(call: Call) -> Reply:
    """End a task that is under way; one that ended stays as it is."""
    task = call.desk.tasks.cancel(call.path["task_id"])
    enter(
        call.desk,
        call.unit,
        call.acting,
        action="cancel",
        kind="task",
        subject=task.id,
        detail={"kind": task.kind, "subject": task.subject},
    )
    return Reply(204)


def task_shape(task: Task) -> dict[str, object]:
    """Return a task as every reply shows it."""
    return {
        "task": task.id,
        "kind": task.kind,
        "subject": task.subject,
        "state": task.state,
        "progress": {"done": task.done, "total": task.total},
        "started_at": task.started_at,
        "started_by": task.who,
        "result": task.result,
        "detail": task.detail,
    }


_PROOF = "/families/<family>/revisions/<int:number>/proof"
_TASK = "/tasks/<task_id>"

OPERATIONS = (
    Operation(
        "proveRevision",
        "POST",
        _PROOF,
        Permission.CATALOGUE_DRAFT,
        "Prove a revision over every valid build.",
        prove_revision,
        replies=(200, 202, 404),
        body="json",
        schema=ProofBody,
        body_optional=True,
        example={"conflicts": None},
    ),
    Operation(
        "getProof",
        "GET",
        _PROOF,
        Permission.CATALOGUE_READ,
        "Give the last report of a revision's proof.",
        get_proof,
        replies=(200, 404, 406),
        suffixes=tuple(f.suffix for f in PROOF_FORMATS),
        media=tuple(f.media for f in PROOF_FORMATS),
    ),
    Operation(
        "getChanges",
        "GET",
        "/families/<family>/revisions/<int:number>/changes",
        Permission.CATALOGUE_READ,
        "Say what changed since another revision.",
        get_changes,
        replies=(200, 202, 404, 406),
        suffixes=tuple(f.suffix for f in CHANGES_FORMATS),
        media=tuple(f.media for f in CHANGES_FORMATS),
        query=Since,
    ),
    Operation(
        "getTask",
        "GET",
        _TASK,
        Permission.CATALOGUE_READ,
        "Show how far a task is.",
        get_task,
        replies=(200, 404),
    ),
    Operation(
        "cancelTask",
        "DELETE",
        _TASK,
        Permission.CATALOGUE_DRAFT,
        "End a task that is under way.",
        cancel_task,
        replies=(204, 404),
        writes=True,
    ),
)
