"""Opening a database: durability, isolation and errors settled in one place.

SQLite before 3.51.3 can corrupt a WAL written by several connections (the
"WAL-reset" fault, sqlite.org/wal.html), so the rollback journal is used there.
Writers begin with BEGIN IMMEDIATE: a read that turns into a write later would fail
at once with "database is locked", whatever the timeout.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, NullPool, create_engine, event, make_url, text
from sqlalchemy.engine import URL, Connection

from bomsvc.core.terms.problems import BadInput, Problem

FIRST_SQLITE_WITH_SAFE_WAL = (3, 51, 3)
BUSY_TIMEOUT_MS = 10_000
STATEMENT_TIMEOUT_MS = 30_000
LOCK_TIMEOUT_MS = 10_000
WRITES = "bomsvc_writes"
"""Execution option of a connection that is going to write."""


def open_engine(url: str, *, migrating: bool = False) -> Engine:
    """Open the database of `url`.

    Args:
        url: As `BOMSVC_DATABASE_URL`.
        migrating: One plain connection with foreign keys off, as rebuilding a
            table on SQLite would otherwise delete every child row.

    Raises:
        BadInput: The URL cannot be read, or the server is not durable.
    """
    parsed = _parsed(url)
    if parsed.get_backend_name() == "sqlite":
        return _open_sqlite(parsed, migrating=migrating)
    return _open_postgresql(parsed, migrating=migrating)


def _parsed(url: str) -> URL:
    try:
        return make_url(url)
    except Exception as error:
        # The message of the library repeats the URL with its password.
        raise BadInput([_url_problem("The database URL cannot be read.")]) from error


def _url_problem(detail: str) -> Problem:
    return Problem(
        pointer="BOMSVC_DATABASE_URL",
        detail=detail,
        code="setting",
        remedy="Use sqlite:///PATH or postgresql://USER@HOST/NAME.",
    )


def _open_sqlite(url: URL, *, migrating: bool) -> Engine:
    if not url.database or url.database == ":memory:":
        raise BadInput([_url_problem("SQLite needs the path of a file.")])
    _make_private_folder(Path(url.database).parent)
    engine = create_engine(
        url,
        poolclass=NullPool if migrating else None,
        connect_args={"check_same_thread": False, "timeout": BUSY_TIMEOUT_MS / 1000},
    )
    foreign_keys = "OFF" if migrating else "ON"

    @event.listens_for(engine, "connect")
    def _prepare(connection: sqlite3.Connection, _record: object) -> None:
        # We begin transactions ourselves, see `_begin`.
        connection.isolation_level = None
        for pragma in sqlite_pragmas(foreign_keys):
            connection.execute(pragma).close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get(WRITES, False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def sqlite_pragmas(foreign_keys: str = "ON") -> tuple[str, ...]:
    """Return the statements every SQLite connection starts with."""
    return (
        f"PRAGMA busy_timeout = {BUSY_TIMEOUT_MS}",
        f"PRAGMA journal_mode = {sqlite_journal_mode()}",
        "PRAGMA synchronous = FULL",
        f"PRAGMA foreign_keys = {foreign_keys}",
        # Without this, INSERT OR REPLACE would delete past the DELETE triggers.
        "PRAGMA recursive_triggers = ON",
    )


def sqlite_journal_mode() -> str:
    """Return WAL where it is safe, else the rollback journal."""
    safe = sqlite3.sqlite_version_info >= FIRST_SQLITE_WITH_SAFE_WAL
    return "WAL" if safe else "DELETE"


def _make_private_folder(folder: Path) -> None:
    if not folder.exists():
        folder.mkdir(parents=True, mode=0o700)


def _open_postgresql(url: URL, *, migrating: bool) -> Engine:
    options = (
        "-c timezone=UTC -c client_encoding=UTF8"
        f" -c statement_timeout={0 if migrating else STATEMENT_TIMEOUT_MS}"
        f" -c lock_timeout={LOCK_TIMEOUT_MS}"
        f" -c idle_in_transaction_session_timeout={STATEMENT_TIMEOUT_MS}"
    )
    arguments: dict[str, Any] = {"connect_timeout": 5, "options": options}
    if migrating:
        return create_engine(url, poolclass=NullPool, connect_args=arguments)
    return create_engine(
        url, connect_args=arguments, pool_pre_ping=True, pool_size=8, max_overflow=8
    )


def refuse_undurable(connection: Connection) -> None:
    """Refuse a PostgreSQL server that may lose what it acknowledged.

    Raises:
        BadInput: The server runs with fsync or full_page_writes off.
    """
    if connection.dialect.name != "postgresql":
        return
    for name in ("fsync", "full_page_writes"):
        if connection.execute(text(f"SHOW {name}")).scalar() != "on":
            detail = f"The PostgreSQL server runs with {name}=off and can lose data."
            raise BadInput([_url_problem(detail)])
