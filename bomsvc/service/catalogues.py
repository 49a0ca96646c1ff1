"""Use cases of families and their revisions.

Functions that change something work inside the unit of work they are given and do
not commit: the face commits once, with the reply it is about to send.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace

from bomsvc.core.catalogue import Catalogue, canonical_bytes, read_catalogue
from bomsvc.core.terms.json_text import read_json
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.service.agreement import disagreements, published_parts
from bomsvc.service.desk import ANY_VERSION, Acting, Desk, Expected, enter
from bomsvc.service.gate import Finding
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.records import EDITABLE, FamilyHead, RevisionHead
from bomsvc.service.refusals import Conflict, Damaged, Held, Missing, Stale, no_such

KIND = "revision"


def subject_of(head: RevisionHead) -> str:
    """Return how the log names a revision: whimbrel.3."""
    return f"{head.family}.{head.number}"


def get_family(uow: UnitOfWork, code: str) -> FamilyHead:
    """Return a family.

    Raises:
        Missing: There is none; offers the nearest.
    """
    family = uow.revisions.family(code)
    if family is None:
        raise no_such("family", code, known=uow.revisions.family_codes())
    return family


def get_revision(uow: UnitOfWork, family: str, number: int) -> RevisionHead:
    """Return a revision's head.

    Raises:
        Missing: There is no such family or revision.
    """
    head = uow.revisions.get(family, number)
    if head is None:
        newest = get_family(uow, family).newest.number
        raise Missing(
            f"The family {family!r} has no revision {number}.",
            remedy=f"The newest is {newest}.",
        )
    return head


def revision_in_force(uow: UnitOfWork, family: str, number: int | None) -> RevisionHead:
    """Return revision `number`, or the published one for None.

    Raises:
        Missing: There is no such family or revision.
        Conflict: None is published.
    """
    if number is not None:
        return get_revision(uow, family, number)
    head = uow.revisions.published(family)
    if head is None:
        newest = get_family(uow, family).newest.number
        raise Conflict(
            f"No revision of the family {family!r} is published.",
            remedy=f"Publish one, or ask for a revision by number, such as {newest}.",
        )
    return head


def read_document(
    uow: UnitOfWork, family: str, number: int
) -> tuple[RevisionHead, bytes]:
    """Return a revision and its canonical document.

    Raises:
        Missing: There is no such family or revision.
        Damaged: As for `kept_document`.
    """
    head = get_revision(uow, family, number)
    return head, kept_document(uow, head)


def kept_document(uow: UnitOfWork, head: RevisionHead) -> bytes:
    """Return a revision's canonical document, which is what its digest names.

    Raises:
        Damaged: It is not; the database was changed past this service.
    """
    document = uow.revisions.document(head.family, head.number)
    if hashlib.sha256(document).hexdigest() != head.digest:
        raise Damaged(
            f"The document of {subject_of(head)} is not the one its digest names.",
            remedy="Run bomsvc check, and restore a backup from before the damage.",
        )
    return document


def catalogue_of(head: RevisionHead, document: bytes) -> Catalogue:
    """Read a kept document again and check that it is what was kept."""
    catalogue = read_catalogue(read_json(document))
    assert catalogue.digest == head.digest, f"{subject_of(head)}: digest differs"
    return catalogue


def create_draft(
    desk: Desk, uow: UnitOfWork, acting: Acting, *, family: str, catalogue: Catalogue
) -> tuple[RevisionHead, bool]:
    """Keep a document as a new draft, and say whether it is new.

    A document that the family has already, as a draft or published, is not kept a
    second time: the digest names the content, so repeating an import makes nothing.

    Raises:
        BadInput: The document is another family's, or a part disagrees with what
            another family's published revision says of it.
    """
    document = _accepted(uow, family, catalogue)
    now = desk.now()
    uow.revisions.lock_family(family, now)
    same = uow.revisions.with_digest(family, catalogue.digest)
    if same is not None:
        return same, False
    head = RevisionHead(
        family=family,
        number=uow.revisions.next_number(family),
        state="draft",
        digest=catalogue.digest,
        name=catalogue.family.name,
        maker=catalogue.family.maker,
        note=catalogue.family.note,
        version=1,
        created_at=now,
        created_by=acting.who,
        changed_at=now,
        changed_by=acting.who,
    )
    uow.revisions.add(head, document)
    _enter(desk, uow, acting, "create", head)
    return head, True


def replace_draft(
    desk: Desk,
    uow: UnitOfWork,
    acting: Acting,
    *,
    family: str,
    number: int,
    catalogue: Catalogue,
    expected: Expected,
) -> RevisionHead:
    """Replace a draft's document; a proven one becomes a draft again.

    Raises:
        Missing: There is no such revision.
        Conflict: It is published or replaced, so it never changes.
        Stale: It changed since it was read.
        BadInput: As for `create_draft`.
    """
    document = _accepted(uow, family, catalogue)
    head = _editable(desk, uow, family, number, expected)
    if head.digest == catalogue.digest:
        return head
    changed = replace(
        head,
        state="draft",
        digest=catalogue.digest,
        name=catalogue.family.name,
        maker=catalogue.family.maker,
        note=catalogue.family.note,
        version=head.version + 1,
        changed_at=desk.now(),
        changed_by=acting.who,
    )
    uow.revisions.replace(changed, document)
    _enter(desk, uow, acting, "replace", changed, before=head.digest)
    return changed


def delete_draft(
    desk: Desk,
    uow: UnitOfWork,
    acting: Acting,
    *,
    family: str,
    number: int,
    expected: Expected,
) -> None:
    """Delete a draft; its number is not used again.

    Raises:
        Missing, Conflict, Stale: As for `replace_draft`.
    """
    head = _editable(desk, uow, family, number, expected)
    uow.revisions.delete(family, number)
    _enter(desk, uow, acting, "delete", head)


def publish(
    desk: Desk,
    uow: UnitOfWork,
    acting: Acting,
    *,
    family: str,
    number: int,
    accept_warnings: str | None = None,
    expected: Expected = ANY_VERSION,
) -> tuple[RevisionHead, RevisionHead | None]:
    """Publish a draft and return it with the revision it replaces, if any.

    Publishing what is published already changes nothing.

    Raises:
        Missing: There is no such revision.
        Stale: It changed since it was read.
        Conflict: It was replaced, or the same person changed it last and a second
            person is demanded, or parts disagree with another family.
        Held: The proof finds faults, or warnings without a reason given.
        Damaged: As for `kept_document`.
    """
    # Two families published at once could each miss the other's parts.
    uow.hold("publishing")
    uow.revisions.lock_family(family, desk.now())
    head = get_revision(uow, family, number)
    _admit(head, expected)
    if head.state == "published":
        return head, None
    _refuse_replaced(head)
    _refuse_same_person(desk, acting, head)
    document = kept_document(uow, head)
    _refuse_disagreement(uow, head, document)
    findings = desk.gate.findings(uow, head, catalogue_of(head, document))
    _refuse_findings(findings, accept_warnings)
    return _put_in_force(desk, uow, acting, head, document, accept_warnings)


def _put_in_force(
    desk: Desk,
    uow: UnitOfWork,
    acting: Acting,
    head: RevisionHead,
    document: bytes,
    reason: str | None,
) -> tuple[RevisionHead, RevisionHead | None]:
    before = uow.revisions.published(head.family)
    if before is not None:
        uow.revisions.mark(replace(before, state="replaced"))
    now = desk.now()
    published = replace(
        head,
        state="published",
        version=head.version + 1,
        changed_at=now,
        changed_by=acting.who,
        published_at=now,
        published_by=acting.who,
        accepted_warnings=reason,
    )
    uow.revisions.mark(published)
    uow.parts.replace(head.family, published_parts(head.family, document))
    replaces = None if before is None else before.number
    _enter(desk, uow, acting, "publish", published, replaces=replaces)
    return published, before


def _accepted(uow: UnitOfWork, family: str, catalogue: Catalogue) -> bytes:
    document = canonical_bytes(catalogue)
    if catalogue.family.code != family:
        detail = (
            f"The document is of the family {catalogue.family.code!r}, not {family!r}."
        )
        raise BadInput([Problem("/family/code", detail, "other_family", remedy=family)])
    problems = disagreements(uow, family, document)
    if problems:
        raise BadInput(problems)
    return document


def _editable(
    desk: Desk, uow: UnitOfWork, family: str, number: int, expected: Expected
) -> RevisionHead:
    get_revision(uow, family, number)
    uow.revisions.lock_family(family, desk.now())
    # Read again: another writer may have come between on PostgreSQL.
    head = get_revision(uow, family, number)
    _admit(head, expected)
    if head.state not in EDITABLE:
        raise Conflict(
            f"Revision {number} of {family!r} is {head.state} and never changes.",
            remedy="Make a new draft.",
        )
    return head


def _admit(head: RevisionHead, expected: Expected) -> None:
    if not expected.admits(head.tag):
        raise Stale(
            f"Revision {head.number} of {head.family!r} changed since it was read.",
            remedy="Read it again and make the change on what it says now.",
        )


def _refuse_replaced(head: RevisionHead) -> None:
    if head.state == "replaced":
        raise Conflict(
            f"Revision {head.number} of {head.family!r} was replaced by a later one.",
            remedy="Make a new draft of its document and publish that.",
        )


def _refuse_same_person(desk: Desk, acting: Acting, head: RevisionHead) -> None:
    if desk.second_person and head.changed_by == acting.who:
        raise Conflict(
            "Whoever changed a draft last may not publish it here.",
            remedy="Ask a second person with the right to publish.",
        )


def _refuse_disagreement(uow: UnitOfWork, head: RevisionHead, document: bytes) -> None:
    problems = disagreements(uow, head.family, document)
    if problems:
        raise Conflict(
            "Parts of this revision differ from another family's published revision.",
            remedy=problems[0].remedy,
            problems=problems,
        )


def _refuse_findings(findings: Sequence[Finding], reason: str | None) -> None:
    faults = [f for f in findings if f.severity == "fault"]
    warnings = [f for f in findings if f.severity == "warning"]
    shown = {"findings": [finding.as_dict() for finding in findings]}
    if faults:
        raise Held(
            f"The proof finds {len(faults)} fault(s): {faults[0].detail}",
            remedy="Mend the draft and publish again.",
            extra=shown,
        )
    if warnings and not (reason or "").strip():
        raise Held(
            f"The proof gives {len(warnings)} warning(s): {warnings[0].detail}",
            remedy="Say in accept_warnings why they are accepted.",
            extra=shown,
        )


def _enter(
    desk: Desk,
    uow: UnitOfWork,
    acting: Acting,
    action: str,
    head: RevisionHead,
    **more: object,
) -> None:
    detail = {"digest": head.digest, "version": head.version, **more}
    enter(
        desk,
        uow,
        acting,
        action=action,
        kind=KIND,
        subject=subject_of(head),
        detail=detail,
    )
