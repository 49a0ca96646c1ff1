"""The log of who did what."""

from __future__ import annotations

from bomsvc.api.fields import Text
from bomsvc.api.operation import Call, Operation, Reply
from bomsvc.api.paging import BEYOND_EVERY_NUMBER, Page, number_cursor, page_of
from bomsvc.service.permissions import Permission
from bomsvc.service.records import LogEntry
from bomsvc.service.shapes import log_shape


class LogQuery(Page):
    """Which entries to list."""

    kind = Text(longest=40, load_default=None)
    subject = Text(longest=120, load_default=None)


def list_all(call: Call) -> Reply:
    """List entries, newest first."""
    limit = call.query["limit"]
    start = number_cursor(call, start=BEYOND_EVERY_NUMBER)
    with call.desk.store.read() as uow:
        found = uow.log.listed(
            after=start,
            limit=limit + 1,
            kind=call.query["kind"],
            subject=call.query["subject"],
        )

    def key(entry: LogEntry) -> int:
        return entry.seq

    more = len(found) > limit
    return page_of(call, found[:limit], key=key, shape=log_shape, more=more)


OPERATIONS = (
    Operation(
        "listLog",
        "GET",
        "/log",
        Permission.LOG_READ,
        "List who did what, newest first.",
        list_all,
        query=LogQuery,
    ),
)
