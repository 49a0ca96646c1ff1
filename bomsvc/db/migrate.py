"""Bringing a database to a schema version, up or down.

The newest version is known without reading the migrations, so a command that finds
the database up to date never imports Alembic.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import inspect, text
from sqlalchemy.engine import Connection

from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.db.engine import WRITES, open_engine, refuse_undurable

if TYPE_CHECKING:
    from alembic.config import Config

NEWEST = "0004"
MIGRATION_LOCK = 0x626F6D73
"""PostgreSQL advisory lock key: only one process migrates at a time."""


def schema_version(connection: Connection) -> str | None:
    """Return the database's schema version, None for an empty database."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    row = connection.execute(text("SELECT version_num FROM alembic_version")).first()
    return None if row is None else str(row[0])


def bring_up_to_date(url: str) -> None:
    """Make or upgrade the database of `url` where it is behind.

    Raises:
        BadInput: The database was made by a newer release, or is not durable.
    """
    engine = open_engine(url)
    try:
        with engine.connect() as connection:
            refuse_undurable(connection)
            version = schema_version(connection)
    finally:
        engine.dispose()
    if version != NEWEST:
        _refuse_newer(version)
        upgrade(url, NEWEST)


def _refuse_newer(version: str | None) -> None:
    if version is not None and version > NEWEST:
        detail = (
            f"The database has schema version {version}, made by a newer release;"
            f" this release knows {NEWEST}."
        )
        raise BadInput(
            [
                Problem(
                    pointer="BOMSVC_DATABASE_URL",
                    detail=detail,
                    code="newer_database",
                    remedy="Install the newer release, or restore an older backup.",
                )
            ]
        )


def upgrade(url: str, version: str = "head") -> None:
    """Run the migrations up to `version`, all or nothing."""
    from alembic import command

    with _migrating(url) as config:
        command.upgrade(config, version)


def downgrade(url: str, version: str) -> None:
    """Run the migrations down to `version` ("base": an empty database)."""
    from alembic import command

    with _migrating(url) as config:
        command.downgrade(config, version)


@contextmanager
def _migrating(url: str) -> Iterator[Config]:
    """Give Alembic one connection whose single transaction holds every step."""
    engine = open_engine(url, migrating=True)
    try:
        writing = engine.execution_options(**{WRITES: True})
        with writing.begin() as connection:
            _lock(connection)
            yield migration_config(connection)
            _check_foreign_keys(connection)
    finally:
        engine.dispose()


def migration_config(connection: Connection | None) -> Config:
    """Return Alembic's configuration, made here rather than read from a file."""
    from alembic.config import Config

    config = Config()
    folder = Path(__file__).parent / "migrations"
    config.set_main_option("script_location", str(folder).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config


def _lock(connection: Connection) -> None:
    if connection.dialect.name == "postgresql":
        connection.execute(
            text("SELECT pg_advisory_xact_lock(:key)"), {"key": MIGRATION_LOCK}
        )


def _check_foreign_keys(connection: Connection) -> None:
    """Foreign keys are off while SQLite migrates, so they are checked after."""
    if connection.dialect.name == "sqlite":
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
        assert not broken, f"a migration broke foreign keys: {broken[:3]}"
