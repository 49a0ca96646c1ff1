"""Engines on file."""

from __future__ import annotations

from typing import Any

from bomsvc.api.fields import Body, Listing, Text, Tree
from bomsvc.api.operation import Call, Operation, Reply
from bomsvc.api.paging import Page, number_cursor, page_of
from bomsvc.service.builds import plain_answers
from bomsvc.service.engines import (
    EngineEntry,
    create_engine,
    get_engine,
    list_engines,
    replace_engine,
)
from bomsvc.service.permissions import Permission
from bomsvc.service.records import EngineOnFile
from bomsvc.service.shapes import engine_shape


class EngineBody(Body):
    """What is written down of an engine."""

    answers = Tree(load_default=dict)
    sources = Tree(of_texts=True, load_default=dict)
    waive = Listing(load_default=())
    deviations = Listing(objects=True, load_default=())
    plate_text = Text(lines=True, allow_none=True, load_default=None)
    unit_number = Text(longest=80, allow_none=True, load_default=None)
    notes = Text(lines=True, allow_none=True, load_default=None)


class NewEngineBody(EngineBody):
    """A new engine on file."""

    family = Text(longest=40, required=True)
    serial = Text(longest=40, required=True)


class EnginesQuery(Page):
    """Which engines to list."""

    family = Text(longest=40, load_default=None)


class EngineQuery(Body):
    """Which engine is meant, where several families share its serial."""

    family = Text(longest=40, load_default=None)


def list_all(call: Call) -> Reply:
    """List engines on file in the order they came."""
    limit = call.query["limit"]
    start = number_cursor(call, start=0)
    with call.desk.store.read() as uow:
        found = list_engines(
            uow, family=call.query["family"], after=start, limit=limit + 1
        )

    def key(item: tuple[int, EngineOnFile]) -> int:
        return item[0]

    def shape(item: tuple[int, EngineOnFile]) -> object:
        return engine_shape(item[1])

    more = len(found) > limit
    return page_of(call, found[:limit], key=key, shape=shape, more=more)


def create(call: Call) -> Reply:
    """Put an engine on file."""
    engine = create_engine(
        call.desk,
        call.unit,
        call.acting,
        family=call.body["family"],
        serial=call.body["serial"],
        entry=_entry(call.body),
    )
    headers = (("Location", f"/api/v1/engines/{engine.serial}"),)
    return Reply(201, engine_shape(engine), headers=headers, tag=engine.tag)


def show(call: Call) -> Reply:
    """Show an engine on file."""
    with call.desk.store.read() as uow:
        engine = get_engine(uow, call.path["serial"], call.query["family"])
    return Reply(body=engine_shape(engine), tag=engine.tag)


def replace(call: Call) -> Reply:
    """Write down what is now known of an engine."""
    assert call.expected is not None, "the operation needs a version"
    engine = replace_engine(
        call.desk,
        call.unit,
        call.acting,
        serial=call.path["serial"],
        family=call.query["family"],
        entry=_entry(call.body),
        expected=call.expected,
    )
    return Reply(body=engine_shape(engine), tag=engine.tag)


def _entry(body: dict[str, Any]) -> EngineEntry:
    return EngineEntry(
        answers=plain_answers(body["answers"]),
        sources=body["sources"],
        waive=body["waive"],
        deviations=body["deviations"],
        plate_text=body["plate_text"],
        unit_number=body["unit_number"],
        notes=body["notes"],
    )


OPERATIONS = (
    Operation(
        "listEngines",
        "GET",
        "/engines",
        Permission.ENGINE_READ,
        "List engines on file.",
        list_all,
        query=EnginesQuery,
    ),
    Operation(
        "createEngine",
        "POST",
        "/engines",
        Permission.ENGINE_WRITE,
        "Put an engine on file.",
        create,
        replies=(201, 404, 409, 422),
        body="json",
        schema=NewEngineBody,
        writes=True,
        example={
            "family": "whimbrel",
            "serial": "N210440",
            "answers": {"sump": "rear"},
            "sources": {"sump": "seen"},
        },
    ),
    Operation(
        "getEngine",
        "GET",
        "/engines/<serial>",
        Permission.ENGINE_READ,
        "Show an engine on file.",
        show,
        replies=(200, 404, 409),
        query=EngineQuery,
    ),
    Operation(
        "replaceEngine",
        "PUT",
        "/engines/<serial>",
        Permission.ENGINE_WRITE,
        "Write down what is now known of an engine.",
        replace,
        replies=(200, 404, 409, 422),
        body="json",
        schema=EngineBody,
        query=EngineQuery,
        writes=True,
        needs_version=True,
        example={"answers": {"sump": "rear"}, "notes": "Sump seen at haul-out."},
    ),
)
