"""Families and their revisions."""

from __future__ import annotations

from typing import Literal, cast

from bomsvc.api.fields import Body, Text
from bomsvc.api.operation import JSON, Call, Operation, Reply
from bomsvc.api.paging import (
    BEYOND_EVERY_NUMBER,
    Page,
    number_cursor,
    page_of,
    text_cursor,
)
from bomsvc.api.pipeline import negotiated
from bomsvc.core.catalogue import Catalogue, Limits
from bomsvc.intake.document import read_document as read_text
from bomsvc.intake.document_text import document_yaml
from bomsvc.service.catalogues import (
    create_draft,
    delete_draft,
    get_family,
    publish,
    read_document,
    replace_draft,
)
from bomsvc.service.desk import ANY_VERSION
from bomsvc.service.permissions import Permission
from bomsvc.service.records import FamilyHead, RevisionHead
from bomsvc.service.shapes import family_shape, revision_name, revision_shape

YAML = "application/yaml"
FORMATS = {".json": JSON, ".yaml": YAML}


class PublishBody(Body):
    """What is said when a revision is published."""

    accept_warnings = Text(lines=True, allow_none=True, load_default=None)


def list_families(call: Call) -> Reply:
    """List families in code order."""
    limit = call.query["limit"]
    with call.desk.store.read() as uow:
        found = uow.revisions.families(after=text_cursor(call), limit=limit + 1)

    def key(family: FamilyHead) -> str:
        return family.code

    more = len(found) > limit
    return page_of(call, found[:limit], key=key, shape=family_shape, more=more)


def show_family(call: Call) -> Reply:
    """Show one family."""
    with call.desk.store.read() as uow:
        return Reply(body=family_shape(get_family(uow, call.path["family"])))


def list_revisions(call: Call) -> Reply:
    """List a family's revisions, newest first."""
    limit, family = call.query["limit"], call.path["family"]
    start = number_cursor(call, start=BEYOND_EVERY_NUMBER)
    with call.desk.store.read() as uow:
        get_family(uow, family)
        found = uow.revisions.listed(family, after=start, limit=limit + 1)

    def key(head: RevisionHead) -> int:
        return head.number

    more = len(found) > limit
    return page_of(call, found[:limit], key=key, shape=revision_shape, more=more)


def create_revision(call: Call) -> Reply:
    """Keep the document as a new draft; the same document again makes nothing."""
    head, is_new = create_draft(
        call.desk,
        call.unit,
        call.acting,
        family=call.path["family"],
        catalogue=_catalogue(call),
    )
    headers = [("Location", _address(head))]
    if not is_new:
        headers.append(("Idempotent-Replayed", "true"))
    return Reply(201, revision_shape(head), headers=tuple(headers), tag=head.tag)


def get_revision(call: Call) -> Reply:
    """Give the document, canonical JSON or YAML."""
    with call.desk.store.read() as uow:
        head, document = read_document(uow, call.path["family"], call.path["number"])
    offered = tuple(FORMATS.values())
    media = FORMATS[call.suffix] if call.suffix else negotiated(call, offered)
    name = f"{head.family}-{head.number}"
    headers = (("Bomsvc-Revision-State", head.state), ("Vary", "Accept"))
    if media == JSON:
        tag = f"{head.tag}.json"
        return Reply(body=document, headers=headers, tag=tag, filename=f"{name}.json")
    tag = f"{head.tag}.yaml"
    text = document_yaml(document)
    return Reply(
        body=text, media=YAML, headers=headers, tag=tag, filename=f"{name}.yaml"
    )


def replace_revision(call: Call) -> Reply:
    """Replace a draft's document."""
    assert call.expected is not None, "the operation needs a version"
    head = replace_draft(
        call.desk,
        call.unit,
        call.acting,
        family=call.path["family"],
        number=call.path["number"],
        catalogue=_catalogue(call),
        expected=call.expected,
    )
    return Reply(body=revision_shape(head), tag=head.tag)


def delete_revision(call: Call) -> Reply:
    """Delete a draft."""
    assert call.expected is not None, "the operation needs a version"
    delete_draft(
        call.desk,
        call.unit,
        call.acting,
        family=call.path["family"],
        number=call.path["number"],
        expected=call.expected,
    )
    return Reply(204)


def publish_revision(call: Call) -> Reply:
    """Publish a revision; it never changes again."""
    head, before = publish(
        call.desk,
        call.unit,
        call.acting,
        family=call.path["family"],
        number=call.path["number"],
        accept_warnings=call.body["accept_warnings"],
        expected=call.expected or ANY_VERSION,
    )
    replaces = None if before is None else revision_name(before)
    return Reply(body=revision_shape(head, replaces=replaces), tag=head.tag)


def _catalogue(call: Call) -> Catalogue:
    # The pipeline has refused what is over the configured size.
    limits = Limits(bytes=max(len(call.body), Limits().bytes))
    media = cast("Literal['json', 'yaml']", call.media)
    return read_text(call.body, media, limits=limits)


def _address(head: RevisionHead) -> str:
    return f"/api/v1/families/{head.family}/revisions/{head.number}"


_FAMILY = "/families/<family>"
_ONE = f"{_FAMILY}/revisions/<int:number>"

OPERATIONS = (
    Operation(
        "listFamilies",
        "GET",
        "/families",
        Permission.CATALOGUE_READ,
        "List the engine families.",
        list_families,
        query=Page,
    ),
    Operation(
        "getFamily",
        "GET",
        _FAMILY,
        Permission.CATALOGUE_READ,
        "Show a family with its published revision.",
        show_family,
        replies=(200, 404),
    ),
    Operation(
        "listRevisions",
        "GET",
        f"{_FAMILY}/revisions",
        Permission.CATALOGUE_READ,
        "List a family's revisions, newest first.",
        list_revisions,
        replies=(200, 404),
        query=Page,
    ),
    Operation(
        "createRevision",
        "POST",
        f"{_FAMILY}/revisions",
        Permission.CATALOGUE_DRAFT,
        "Keep a document as a new draft.",
        create_revision,
        replies=(201,),
        body="document",
        writes=True,
    ),
    Operation(
        "getRevision",
        "GET",
        _ONE,
        Permission.CATALOGUE_READ,
        "Give a revision's document as JSON or YAML.",
        get_revision,
        replies=(200, 404, 406),
        suffixes=tuple(FORMATS),
        media=(YAML,),
    ),
    Operation(
        "replaceRevision",
        "PUT",
        _ONE,
        Permission.CATALOGUE_DRAFT,
        "Replace a draft's document.",
        replace_revision,
        replies=(200, 404, 409),
        body="document",
        writes=True,
        needs_version=True,
    ),
    Operation(
        "deleteRevision",
        "DELETE",
        _ONE,
        Permission.CATALOGUE_DRAFT,
        "Delete a draft.",
        delete_revision,
        replies=(204, 404, 409),
        writes=True,
        needs_version=True,
    ),
    Operation(
        "publishRevision",
        "POST",
        f"{_ONE}/publish",
        Permission.CATALOGUE_PUBLISH,
        "Publish a revision; it replaces the one published before.",
        publish_revision,
        replies=(200, 404, 409),
        body="json",
        schema=PublishBody,
        body_optional=True,
        writes=True,
        example={"accept_warnings": None},
    ),
)
