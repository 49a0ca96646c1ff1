"""Families and their revisions."""

# The docstrings of the methods are those of the ports they implement.
# ruff: noqa: D102

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, cast

from sqlalchemy import Row, Select, bindparam, delete, func, insert, select, update
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import Connection

from bomsvc.db.tables import families, revisions
from bomsvc.service.records import FamilyHead, RevisionHead, State

HEAD_FIELDS = (
    "family",
    "number",
    "state",
    "digest",
    "name",
    "maker",
    "note",
    "version",
    "created_at",
    "created_by",
    "changed_at",
    "changed_by",
    "published_at",
    "published_by",
    "accepted_warnings",
)
MARKED_FIELDS = (
    "state",
    "version",
    "changed_at",
    "changed_by",
    "published_at",
    "published_by",
    "accepted_warnings",
)
_HEAD = tuple(revisions.c[name] for name in HEAD_FIELDS)

# Asked at every request, so it is built once.
_PUBLISHED = select(*_HEAD).where(
    revisions.c.family == bindparam("family"), revisions.c.state == "published"
)


class SqlRevisions:
    """Implements the service's `Revisions` port."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def families(self, *, after: str, limit: int) -> Sequence[FamilyHead]:
        query = (
            select(families.c.code)
            .where(families.c.code > after)
            .order_by(families.c.code)
        )
        codes = tuple(self._connection.execute(query).scalars())
        heads = (self.family(code) for code in codes)
        return [head for head in heads if head is not None][:limit]

    def family(self, code: str) -> FamilyHead | None:
        newest = self._first(
            select(*_HEAD)
            .where(revisions.c.family == code)
            .order_by(revisions.c.number.desc())
            .limit(1)
        )
        if newest is None:
            return None
        return FamilyHead(code, newest, self.published(code))

    def family_codes(self) -> tuple[str, ...]:
        query = select(families.c.code).order_by(families.c.code)
        return tuple(self._connection.execute(query).scalars())

    def lock_family(self, code: str, at: str) -> None:
        dialect = self._connection.dialect.name
        make = postgresql.insert if dialect == "postgresql" else sqlite.insert
        row = {"code": code, "last_number": 0, "created_at": at}
        statement = make(families).values(row).on_conflict_do_nothing()
        self._connection.execute(statement)
        # On SQLite the whole database is already ours; PostgreSQL locks the row.
        self._connection.execute(
            select(families.c.code).where(families.c.code == code).with_for_update()
        )

    def next_number(self, family: str) -> int:
        statement = (
            update(families)
            .where(families.c.code == family)
            .values(last_number=families.c.last_number + 1)
            .returning(families.c.last_number)
        )
        return int(self._connection.execute(statement).scalar_one())

    def listed(self, family: str, *, after: int, limit: int) -> Sequence[RevisionHead]:
        query = (
            select(*_HEAD)
            .where(revisions.c.family == family, revisions.c.number < after)
            .order_by(revisions.c.number.desc())
            .limit(limit)
        )
        return [_head(row) for row in self._connection.execute(query)]

    def get(self, family: str, number: int) -> RevisionHead | None:
        return self._first(select(*_HEAD).where(*_one(family, number)))

    def published(self, family: str) -> RevisionHead | None:
        return self._first(_PUBLISHED, {"family": family})

    def with_digest(self, family: str, digest: str) -> RevisionHead | None:
        return self._first(
            select(*_HEAD)
            .where(
                revisions.c.family == family,
                revisions.c.digest == digest,
                revisions.c.state != "replaced",
            )
            .order_by(revisions.c.number.desc())
            .limit(1)
        )

    def document(self, family: str, number: int) -> bytes:
        query = select(revisions.c.document).where(*_one(family, number))
        return bytes(self._connection.execute(query).scalar_one())

    def add(self, head: RevisionHead, document: bytes) -> None:
        values = _values(head) | {"document": document}
        self._connection.execute(insert(revisions).values(values))

    def replace(self, head: RevisionHead, document: bytes) -> None:
        values = _values(head) | {"document": document}
        self._write(head, values)

    def mark(self, head: RevisionHead) -> None:
        values = {name: getattr(head, name) for name in MARKED_FIELDS}
        if head.state == "replaced":
            # All but the state is frozen by then.
            values = {"state": head.state}
        self._write(head, values)

    def delete(self, family: str, number: int) -> None:
        self._connection.execute(delete(revisions).where(*_one(family, number)))

    def _write(self, head: RevisionHead, values: Mapping[str, object]) -> None:
        statement = update(revisions).where(*_one(head.family, head.number))
        done = self._connection.execute(statement.values(dict(values)))
        assert done.rowcount == 1, f"revision {head.family} {head.number} is gone"

    def _first(
        self, query: Select[Any], values: Mapping[str, object] | None = None
    ) -> RevisionHead | None:
        row = self._connection.execute(query, dict(values or {})).first()
        return None if row is None else _head(row)

    def count_by_state(self) -> Mapping[str, int]:
        """Return how many revisions there are in each state."""
        query = select(revisions.c.state, func.count()).group_by(revisions.c.state)
        return {str(row[0]): int(row[1]) for row in self._connection.execute(query)}


def _one(family: str, number: int) -> tuple[Any, Any]:
    return revisions.c.family == family, revisions.c.number == number


def _values(head: RevisionHead) -> dict[str, object]:
    return {name: getattr(head, name) for name in HEAD_FIELDS}


def _head(row: Row[Any]) -> RevisionHead:
    values = dict(zip(HEAD_FIELDS, row, strict=True))
    values["state"] = cast("State", values["state"])
    return RevisionHead(**values)
