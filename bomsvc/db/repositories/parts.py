"""What published revisions say of parts."""

# The docstrings of the methods are those of the ports they implement.
# ruff: noqa: D102

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, Row, and_, delete, false, insert, or_, select
from sqlalchemy.engine import Connection

from bomsvc.db.tables import published_parts
from bomsvc.service.records import PublishedPart

FIELDS = (
    "family",
    "identity",
    "search_key",
    "number",
    "name",
    "name_key",
    "kind",
    "data",
)
_COLUMNS = tuple(published_parts.c[name] for name in FIELDS)
T = TypeVar("T")
ROWS_PER_INSERT = 1_000
NAMES_PER_QUERY = 500
"""SQLite takes at most 32,766 values in a statement."""


class SqlParts:
    """Implements the service's `Parts` port."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def replace(self, family: str, parts: Iterable[PublishedPart]) -> None:
        self._connection.execute(
            delete(published_parts).where(published_parts.c.family == family)
        )
        rows = ({name: getattr(part, name) for name in FIELDS} for part in parts)
        for batch in _batches(rows, ROWS_PER_INSERT):
            self._connection.execute(insert(published_parts), batch)

    def elsewhere(
        self, family: str, identities: Sequence[str]
    ) -> Sequence[PublishedPart]:
        found: list[PublishedPart] = []
        for batch in _batches(identities, NAMES_PER_QUERY):
            query = select(*_COLUMNS).where(
                published_parts.c.identity.in_(batch),
                published_parts.c.family != family,
            )
            found.extend(_part(row) for row in self._connection.execute(query))
        return sorted(found, key=lambda part: (part.identity, part.family))

    def get(self, identity: str) -> Sequence[PublishedPart]:
        query = (
            select(*_COLUMNS)
            .where(published_parts.c.identity == identity)
            .order_by(published_parts.c.family)
        )
        return [_part(row) for row in self._connection.execute(query)]

    def search(
        self, *, key: str, name: str | None, after: tuple[str, str], limit: int
    ) -> Sequence[PublishedPart]:
        columns = published_parts.c
        wanted: list[ColumnElement[bool]] = [false()]
        if name is not None:
            wanted.append(columns.name_key.contains(name, autoescape=True))
        if key:
            wanted.append(columns.search_key.startswith(key, autoescape=True))
        beyond = or_(
            columns.identity > after[0],
            and_(columns.identity == after[0], columns.family > after[1]),
        )
        query = (
            select(*_COLUMNS)
            .where(or_(*wanted), beyond)
            .order_by(columns.identity, columns.family)
            .limit(limit)
        )
        return [_part(row) for row in self._connection.execute(query)]


def _part(row: Row[Any]) -> PublishedPart:
    return PublishedPart(**dict(zip(FIELDS, row, strict=True)))


def _batches(items: Iterable[T], size: int) -> Iterator[list[T]]:
    source = iter(items)
    while batch := list(islice(source, size)):
        yield batch
