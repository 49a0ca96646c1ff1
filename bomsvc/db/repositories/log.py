"""The log of who did what."""

# The docstrings of the methods are those of the ports they implement.
# ruff: noqa: D102

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, insert, select
from sqlalchemy.engine import Connection

from bomsvc.db.tables import log
from bomsvc.service.json_bytes import decode_stored, encode_text
from bomsvc.service.records import LogEntry

FIELDS = ("seq", "at", "who", "action", "kind", "subject", "detail", "request_id")
_COLUMNS = tuple(log.c[name] for name in FIELDS)


class SqlLog:
    """Implements the service's `Log` port."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(
        self,
        *,
        at: str,
        who: str,
        action: str,
        kind: str,
        subject: str,
        detail: object,
        request_id: str | None,
    ) -> None:
        self._connection.execute(
            insert(log).values(
                at=at,
                who=who,
                action=action,
                kind=kind,
                subject=subject,
                detail=encode_text(detail),
                request_id=request_id,
            )
        )

    def listed(
        self,
        *,
        after: int,
        limit: int,
        kind: str | None = None,
        subject: str | None = None,
    ) -> Sequence[LogEntry]:
        query = select(*_COLUMNS).where(log.c.seq < after)
        if kind is not None:
            query = query.where(log.c.kind == kind)
        if subject is not None:
            query = query.where(log.c.subject == subject)
        query = query.order_by(log.c.seq.desc()).limit(limit)
        return [_entry(row) for row in self._connection.execute(query)]


def _entry(row: Row[Any]) -> LogEntry:
    values = dict(zip(FIELDS, row, strict=True))
    values["detail"] = decode_stored(values["detail"])
    return LogEntry(**values)
