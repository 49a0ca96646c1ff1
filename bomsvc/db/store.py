"""Units of work on a database, and its troubles as refusals a face can explain."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from zlib import crc32

import sqlalchemy.exc
from sqlalchemy import Engine, text
from sqlalchemy.engine import Connection

from bomsvc.db.engine import WRITES, open_engine
from bomsvc.db.migrate import NEWEST, schema_version
from bomsvc.db.repositories.engines import SqlEngines
from bomsvc.db.repositories.log import SqlLog
from bomsvc.db.repositories.parts import SqlParts
from bomsvc.db.repositories.proofs import SqlProofs
from bomsvc.db.repositories.replies import SqlReplies
from bomsvc.db.repositories.revisions import SqlRevisions
from bomsvc.db.repositories.tokens import SqlTokens
from bomsvc.service.refusals import Full, Unavailable

DISK_FULL_STATES = ("53100",)
DISK_FULL_WORDS = ("database or disk is full", "disk I/O error")


class SqlUnit:
    """One transaction; implements the service's `UnitOfWork` port."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._transaction = connection.begin()
        self.revisions = SqlRevisions(connection)
        self.parts = SqlParts(connection)
        self.engines = SqlEngines(connection)
        self.tokens = SqlTokens(connection)
        self.proofs = SqlProofs(connection)
        self.replies = SqlReplies(connection)
        self.log = SqlLog(connection)

    def hold(self, what: str) -> None:
        """Let no other transaction pass the same `hold` until this one ends.

        SQLite has one writer at a time anyway.
        """
        if self._connection.dialect.name == "postgresql":
            self._connection.execute(
                text("SELECT pg_advisory_xact_lock(:key)"),
                {"key": crc32(what.encode())},
            )

    def savepoint(self) -> AbstractContextManager[None]:
        """Undo what was done inside when it raises, and only that."""
        return self._savepoint()

    @contextmanager
    def _savepoint(self) -> Iterator[None]:
        with self._connection.begin_nested():
            yield

    def commit(self) -> None:
        """Make everything done in this unit lasting."""
        self._transaction.commit()

    def undo(self) -> None:
        """Undo everything that was not committed."""
        if self._transaction.is_active:
            self._transaction.rollback()


class SqlStore:
    """Opens units of work on one database; implements the service's `Store` port."""

    def __init__(self, url: str) -> None:
        self._engine: Engine = open_engine(url)
        self._is_sqlite = self._engine.dialect.name == "sqlite"
        # Writers of one process queue here rather than in SQLite's busy loop, which
        # polls and can starve one of them.
        self._writing = threading.Lock()

    def close(self) -> None:
        """Close every connection."""
        self._engine.dispose()

    @contextmanager
    def read(self) -> Iterator[SqlUnit]:
        """Open a unit that sees one unchanging state and writes nothing."""
        options: dict[str, object] = {}
        if not self._is_sqlite:
            options = {
                "isolation_level": "REPEATABLE READ",
                "postgresql_readonly": True,
            }
        with self._unit(options) as unit:
            yield unit

    @contextmanager
    def write(self) -> Iterator[SqlUnit]:
        """Open a unit that may write; undone unless committed."""
        if not self._is_sqlite:
            with self._unit({}) as unit:
                yield unit
            return
        with self._writing, self._unit({WRITES: True}) as unit:
            yield unit

    @contextmanager
    def _unit(self, options: dict[str, object]) -> Iterator[SqlUnit]:
        with _troubles_told(), self._engine.connect() as plain:
            connection = plain.execution_options(**options)
            unit = SqlUnit(connection)
            try:
                yield unit
            finally:
                unit.undo()

    def ready(self) -> str | None:
        """Return what is wrong with the database in a sentence, or None."""
        try:
            with _troubles_told(), self._engine.connect() as connection:
                version = schema_version(connection)
        except (Unavailable, Full) as refusal:
            return refusal.detail
        if version != NEWEST:
            return f"The database has schema version {version}, not {NEWEST}."
        return None


@contextmanager
def _troubles_told() -> Iterator[None]:
    """Translate the driver's errors; the original stays as the cause."""
    try:
        yield
    except sqlalchemy.exc.DBAPIError as error:
        refusal = _refusal(error)
        if refusal is None:
            raise
        raise refusal from error
    except sqlalchemy.exc.TimeoutError as error:
        raise Unavailable("The database is busy.", remedy=_AGAIN) from error


_AGAIN = "Send the same request again in a moment."


def _refusal(error: sqlalchemy.exc.DBAPIError) -> Full | Unavailable | None:
    if _is_full(error):
        return Full("The disk is full; nothing was changed.", remedy="Free some room.")
    lost = error.connection_invalidated
    if lost or isinstance(error, sqlalchemy.exc.OperationalError):
        return Unavailable("The database cannot serve this now.", remedy=_AGAIN)
    return None


def _is_full(error: sqlalchemy.exc.DBAPIError) -> bool:
    state = getattr(error.orig, "sqlstate", None)
    said = str(error.orig)
    return state in DISK_FULL_STATES or any(w in said for w in DISK_FULL_WORDS)
