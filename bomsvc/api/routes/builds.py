"""Builds: identify, resolve, count."""

from __future__ import annotations

from collections.abc import Callable

from bomsvc.api.fields import Body, Listing, Text, Tree, Whole
from bomsvc.api.formats import wanted
from bomsvc.api.operation import Call, Operation, Reply
from bomsvc.exports.lists import LIST_FORMATS
from bomsvc.service.answered import Question
from bomsvc.service.builds import (
    UNIFORM,
    Asked,
    Listed,
    count_builds,
    identify,
    resolve_build,
)
from bomsvc.service.catalogues import revision_in_force
from bomsvc.service.engines import get_engine
from bomsvc.service.json_bytes import encode_json
from bomsvc.service.permissions import Permission

MOST_REVISIONS = 10**9


class AskedBody(Body):
    """What is known of an engine."""

    revision = Whole(least=1, most=MOST_REVISIONS, allow_none=True, load_default=None)
    engine = Text(longest=40, allow_none=True, load_default=None)
    answers = Tree(load_default=dict)
    sources = Tree(of_texts=True, load_default=dict)
    waive = Listing(load_default=())


class IdentifyBody(AskedBody):
    """What is known, and the choices whose reasons are wanted."""

    explain = Listing(load_default=())


class ResolveBody(IdentifyBody):
    """What is known, and what the list is for."""

    scope = Tree(required=True)
    branch = Text(longest=40, allow_none=True, load_default=None)
    by_way_of = Listing(load_default=())
    weigh = Text(longest=40, load_default=UNIFORM)


def asked_of(call: Call) -> Asked:
    """Return the request about a build, with the engine on file it names."""
    body = call.body
    engine = None
    if body["engine"] is not None:
        with call.desk.store.read() as uow:
            engine = get_engine(uow, body["engine"], call.path["family"])
    return Asked(
        revision=body["revision"],
        answers=body["answers"],
        sources=body["sources"],
        waive=body["waive"],
        explain=body.get("explain", ()),
        engine=engine,
    )


def identify_build(call: Call) -> Reply:
    """Say what follows from the answers."""
    family = call.path["family"]
    return answered(
        call, "identify", lambda: identify(call.desk, family, asked_of(call))
    )


def count(call: Call) -> Reply:
    """Count the builds that agree with the answers."""
    family = call.path["family"]
    return answered(
        call, "count", lambda: count_builds(call.desk, family, asked_of(call))
    )


def resolve(call: Call) -> Reply:
    """List what the scope takes on this engine."""
    chosen = wanted(call, LIST_FORMATS)
    if chosen is None:
        return answered(call, "resolve", lambda: _listed(call).reply())
    content = chosen.render(_listed(call))
    name = f"pick-list-{call.path['family']}{chosen.suffix}"
    return Reply(body=content, media=chosen.media, filename=name)


def _listed(call: Call) -> Listed:
    return resolve_build(
        call.desk,
        call.path["family"],
        asked_of(call),
        scope=call.body["scope"],
        by_way_of=call.body["by_way_of"],
        weigh=call.body["weigh"],
    )


def answered(
    call: Call, operation: str, answer: Callable[[], dict[str, object]]
) -> Reply:
    """Send again what was worked out for this request and revision before.

    Not where engines on file have a say: those change without a new revision.
    """
    weigh = call.body.get("weigh", UNIFORM)
    if call.body["engine"] is not None or weigh != UNIFORM:
        return Reply(body=answer())
    with call.desk.store.read() as uow:
        head = revision_in_force(uow, call.path["family"], call.body["revision"])
    question = Question(operation, head.family, head.number, head.digest, call.raw)

    def encoded() -> bytes:
        return encode_json(answer())

    return Reply(body=call.desk.answered.reply(question, encoded))


_EXAMPLE = {"answers": {"sump": "rear"}, "sources": {"sump": "seen"}}

OPERATIONS = (
    Operation(
        "identifyBuild",
        "POST",
        "/families/<family>/identify",
        Permission.BUILD_RESOLVE,
        "Say which choices are forced, ruled out and open, or how the answers clash.",
        identify_build,
        replies=(200, 404, 409, 422),
        body="json",
        schema=IdentifyBody,
        example=_EXAMPLE,
    ),
    Operation(
        "resolveBuild",
        "POST",
        "/families/<family>/resolve",
        Permission.BUILD_RESOLVE,
        "List the parts, seals, screws and work that a scope takes on this engine.",
        resolve,
        replies=(200, 404, 406, 409, 422),
        body="json",
        schema=ResolveBody,
        suffixes=tuple(f.suffix for f in LIST_FORMATS),
        media=tuple(f.media for f in LIST_FORMATS),
        example={**_EXAMPLE, "scope": {"jobs": ["reseal_sump"]}},
    ),
    Operation(
        "countBuilds",
        "POST",
        "/families/<family>/count",
        Permission.BUILD_RESOLVE,
        "Count the builds that agree with the answers.",
        count,
        replies=(200, 404, 409, 422),
        body="json",
        schema=AskedBody,
        example=_EXAMPLE,
    ),
)
