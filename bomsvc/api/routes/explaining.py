"""Explain, complete and convert a build; where a part fits."""

from __future__ import annotations

from bomsvc.api.fields import Body, Listing, Text, Tree, Whole
from bomsvc.api.operation import Call, Operation, Reply
from bomsvc.api.routes.builds import (
    MOST_REVISIONS,
    AskedBody,
    IdentifyBody,
    answered,
    asked_of,
)
from bomsvc.service.builds import Asked
from bomsvc.service.completing import complete_build
from bomsvc.service.converting import convert_build
from bomsvc.service.engines import get_engine
from bomsvc.service.explaining import explain_line
from bomsvc.service.fitting import engine_fits, part_fits
from bomsvc.service.permissions import Permission

LONGEST_NUMBER = 80
MOST_KEYS = 10**15


class WhyBody(IdentifyBody):
    """What is known, the part asked about, and what the list is for."""

    part = Text(longest=LONGEST_NUMBER, required=True)
    scope = Tree(allow_none=True, load_default=None)
    by_way_of = Listing(load_default=())


class _Converted(Body):
    """What a conversion takes beside the answers of the engine as it is."""

    revision = Whole(least=1, most=MOST_REVISIONS, allow_none=True, load_default=None)
    engine = Text(longest=40, allow_none=True, load_default=None)
    sources = Tree(of_texts=True, load_default=dict)
    waive = Listing(load_default=())
    changes = Tree(required=True)


# "from" is a word of the language, so this field cannot be declared as the others.
ConvertBody = type("ConvertBody", (_Converted,), {"from": Tree(load_default=dict)})


class FitsQuery(Body):
    """Which engine on file, or family; from which engine on file to look on."""

    engine = Text(longest=40, load_default=None)
    serial = Text(longest=40, load_default=None)
    family = Text(longest=40, load_default=None)
    after = Whole(least=0, most=MOST_KEYS, from_text=True, load_default=0)


def why(call: Call) -> Reply:
    """Say why a part is on the list, or why it is not."""

    def explained() -> dict[str, object]:
        return explain_line(
            call.desk,
            call.path["family"],
            asked_of(call),
            part=call.body["part"],
            scope=call.body["scope"],
            by_way_of=call.body["by_way_of"],
        ).reply()

    return answered(call, "why", explained)


def complete(call: Call) -> Reply:
    """Make a full build of what is known by the usual choices."""
    family = call.path["family"]
    return answered(
        call,
        "complete",
        lambda: complete_build(call.desk, family, asked_of(call)).reply(),
    )


def convert(call: Call) -> Reply:
    """Say what turns the engine into one with the changes."""

    def converted() -> dict[str, object]:
        made = convert_build(
            call.desk, call.path["family"], _engine_of(call), call.body["changes"]
        )
        return made.reply()

    return answered(call, "convert", converted)


def _engine_of(call: Call) -> Asked:
    """Return the engine as it is: what is on file, below what is sent."""
    body, filed = call.body, None
    if body["engine"] is not None:
        with call.desk.store.read() as uow:
            filed = get_engine(uow, body["engine"], call.path["family"])
    return Asked(
        revision=body["revision"],
        answers=body["from"],
        sources=body["sources"],
        waive=body["waive"],
        engine=filed,
    )


def show_fits(call: Call) -> Reply:
    """Say where a part fits, and which engines on file take it."""
    query, number = call.query, call.path["key"]
    serial = query["engine"] or query["serial"]
    if serial is None:
        found = part_fits(
            call.desk, number, family=query["family"], after=query["after"]
        )
        return Reply(body=found.reply())
    one = engine_fits(call.desk, number, serial=serial, family=query["family"])
    return Reply(body=one.reply())


_KNOWN = {"answers": {"sump": "rear"}, "sources": {"sump": "seen"}}

OPERATIONS = (
    Operation(
        "explainLine",
        "POST",
        "/families/<family>/why",
        Permission.BUILD_RESOLVE,
        "Say why a part is on the list of a scope, or why it is not.",
        why,
        replies=(200, 404, 409, 422),
        body="json",
        schema=WhyBody,
        example={
            **_KNOWN,
            "part": "W40.1162",
            "scope": {"jobs": ["reseal_sump"]},
        },
    ),
    Operation(
        "completeBuild",
        "POST",
        "/families/<family>/complete",
        Permission.BUILD_RESOLVE,
        "Make a full build of what is known, keeping the most usual choices.",
        complete,
        replies=(200, 404, 409, 422),
        body="json",
        schema=AskedBody,
        example=_KNOWN,
    ),
    Operation(
        "convertBuild",
        "POST",
        "/families/<family>/convert",
        Permission.BUILD_RESOLVE,
        "List what comes off, goes on and stays when an engine is changed.",
        convert,
        replies=(200, 404, 409, 422),
        body="json",
        schema=ConvertBody,
        example={"from": {"sump": "front"}, "changes": {"sump": "rear"}},
    ),
    Operation(
        "getPartFits",
        "GET",
        "/parts/<path:key>/fits",
        Permission.PART_READ,
        "Say where a part fits, and which engines on file take it.",
        show_fits,
        replies=(200, 404, 409, 422),
        query=FitsQuery,
    ),
)
