"""Replies kept for their idempotency keys.

A row is written in the transaction of what the request does. Whoever comes second
with the same key waits on it (the unique key on PostgreSQL, the write lock on
SQLite) and then reads the finished row, or finds none where the first was undone.
"""

# The docstrings of the methods are those of the ports they implement.
# ruff: noqa: D102

from __future__ import annotations

from typing import Any

from sqlalchemy import delete, select, update
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import Connection
from sqlalchemy.exc import OperationalError

from bomsvc.db.tables import idempotency
from bomsvc.service.json_bytes import decode_stored, encode_text
from bomsvc.service.records import StoredReply
from bomsvc.service.refusals import KeyReused, StillRunning

LOCK_NOT_AVAILABLE = "55P03"
"""PostgreSQL's error code when `lock_timeout` has passed."""


class SqlReplies:
    """Implements the service's `Replies` port."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def claim(
        self, *, principal: str, operation: str, key: str, fingerprint: str, at: str
    ) -> StoredReply | None:
        row = {
            "principal": principal,
            "operation": operation,
            "key": key,
            "fingerprint": fingerprint,
            "created_at": at,
        }
        if self._insert(row):
            return None
        return self._earlier(row)

    def _insert(self, row: dict[str, str]) -> bool:
        dialect = self._connection.dialect.name
        make = postgresql.insert if dialect == "postgresql" else sqlite.insert
        statement = make(idempotency).values(row).on_conflict_do_nothing()
        inserted = statement.returning(idempotency.c.key)
        try:
            return self._connection.execute(inserted).first() is not None
        except OperationalError as error:
            if getattr(error.orig, "sqlstate", None) == LOCK_NOT_AVAILABLE:
                raise StillRunning(
                    "The first request with this Idempotency-Key is still running.",
                    remedy="Send the same request again in a moment.",
                ) from error
            raise

    def _earlier(self, row: dict[str, str]) -> StoredReply:
        columns = idempotency.c
        query = select(
            columns.fingerprint, columns.status, columns.headers, columns.body
        ).where(*_one(row["principal"], row["operation"], row["key"]))
        stored = self._connection.execute(query).one()
        if stored.fingerprint != row["fingerprint"]:
            raise KeyReused(
                "This Idempotency-Key was used before with another request.",
                remedy="Take a new key for a new request.",
            )
        assert stored.status is not None, "an idempotency record without its reply"
        headers: Any = decode_stored(stored.headers)
        pairs = tuple((str(name), str(value)) for name, value in headers)
        return StoredReply(int(stored.status), pairs, bytes(stored.body))

    def keep(
        self, *, principal: str, operation: str, key: str, reply: StoredReply
    ) -> None:
        statement = (
            update(idempotency)
            .where(*_one(principal, operation, key))
            .values(
                status=reply.status,
                headers=encode_text(reply.headers),
                body=reply.body,
            )
        )
        done = self._connection.execute(statement)
        assert done.rowcount == 1, "the key was not claimed"

    def forget_before(self, at: str) -> None:
        self._connection.execute(
            delete(idempotency).where(idempotency.c.created_at < at)
        )


def _one(principal: str, operation: str, key: str) -> tuple[Any, Any, Any]:
    return (
        idempotency.c.principal == principal,
        idempotency.c.operation == operation,
        idempotency.c.key == key,
    )
