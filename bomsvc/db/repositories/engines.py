"""Engines on file."""

# The docstrings of the methods are those of the ports they implement.
# ruff: noqa: D102

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import ColumnElement, Row, insert, select, update
from sqlalchemy.engine import Connection
from sqlalchemy.exc import IntegrityError

from bomsvc.db.tables import engines
from bomsvc.service.json_bytes import decode_stored, encode_text
from bomsvc.service.records import EngineOnFile

PLAIN_FIELDS = (
    "family",
    "serial",
    "serial_number",
    "plate_text",
    "unit_number",
    "notes",
    "version",
    "created_at",
    "created_by",
    "changed_at",
    "changed_by",
)
JSON_FIELDS = ("answers", "sources", "waived", "deviations")
TUPLES = ("waived", "deviations")
_COLUMNS = tuple(engines.c[name] for name in PLAIN_FIELDS + JSON_FIELDS)


class SqlEngines:
    """Implements the service's `Engines` port."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def listed(
        self, *, family: str | None, after: int, limit: int
    ) -> Sequence[tuple[int, EngineOnFile]]:
        query = select(engines.c.id, *_COLUMNS).where(engines.c.id > after)
        if family is not None:
            query = query.where(engines.c.family == family)
        query = query.order_by(engines.c.id).limit(limit)
        rows = self._connection.execute(query)
        return [(int(row[0]), _engine(row[1:])) for row in rows]

    def find(self, serial: str, family: str | None) -> Sequence[EngineOnFile]:
        # As stamped wins over the bare number, which several letters may share.
        stamped = self._matching(engines.c.serial == serial, family)
        if stamped or not (serial.isascii() and serial.isdigit()):
            return stamped
        return self._matching(engines.c.serial_number == int(serial), family)

    def _matching(
        self, condition: ColumnElement[bool], family: str | None
    ) -> Sequence[EngineOnFile]:
        query = select(*_COLUMNS).where(condition).order_by(engines.c.id)
        if family is not None:
            query = query.where(engines.c.family == family)
        return [_engine(row) for row in self._connection.execute(query)]

    def add(self, engine: EngineOnFile) -> bool:
        try:
            with self._connection.begin_nested():
                self._connection.execute(insert(engines).values(_values(engine)))
        except IntegrityError:
            if self._matching(_same(engine), engine.family):
                return False
            raise
        return True

    def replace(self, engine: EngineOnFile) -> None:
        statement = (
            update(engines)
            .where(_same(engine), engines.c.family == engine.family)
            .where(engines.c.version == engine.version - 1)
            .values(_values(engine))
        )
        done = self._connection.execute(statement)
        assert done.rowcount == 1, f"engine {engine.serial} moved on"


def _same(engine: EngineOnFile) -> ColumnElement[bool]:
    # As stamped: other letters, or none, are another engine.
    return engines.c.serial == engine.serial


def _values(engine: EngineOnFile) -> dict[str, object]:
    plain = {name: getattr(engine, name) for name in PLAIN_FIELDS}
    return plain | {name: encode_text(getattr(engine, name)) for name in JSON_FIELDS}


def _engine(row: Row[Any] | Sequence[Any]) -> EngineOnFile:
    values = dict(zip(PLAIN_FIELDS + JSON_FIELDS, row, strict=True))
    for name in JSON_FIELDS:
        stored: Any = decode_stored(values[name])
        values[name] = tuple(stored) if name in TUPLES else stored
    return EngineOnFile(**values)
