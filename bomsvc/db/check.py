"""Checks what is kept against what is promised of it: the oracle after any fault."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from sqlalchemy import select
from sqlalchemy.engine import Connection

from bomsvc.db import guards
from bomsvc.db.engine import open_engine
from bomsvc.db.migrate import NEWEST, schema_version
from bomsvc.db.tables import families, idempotency, log, revisions


@dataclass
class Checked:
    """What was looked at, and every promise found broken, one sentence each."""

    looked_at: dict[str, object] = field(default_factory=dict)
    broken: list[str] = field(default_factory=list)

    def as_dict(self) -> dict[str, object]:
        """Return it as a plain tree."""
        return {
            "clean": not self.broken,
            "broken": self.broken,
            "looked_at": self.looked_at,
        }

    def lines(self) -> Iterator[str]:
        """Yield it for people."""
        yield from (f"{name}: {value}" for name, value in self.looked_at.items())
        yield from (f"BROKEN: {sentence}" for sentence in self.broken)
        if not self.broken:
            yield "Every promise looked at holds."


def check_database(url: str) -> Checked:
    """Check the database of `url` and change nothing."""
    checked = Checked()
    engine = open_engine(url)
    try:
        with engine.connect() as connection:
            version = schema_version(connection)
            checked.looked_at["schema version"] = version
            if version != NEWEST:
                checked.broken.append(f"The schema version is not {NEWEST}.")
                return checked
            for look in LOOKS:
                look(connection, checked)
    finally:
        engine.dispose()
    return checked


def _file(connection: Connection, checked: Checked) -> None:
    """SQLite's own checks, and how durable it is opened."""
    if connection.dialect.name != "sqlite":
        return
    for name in ("journal_mode", "synchronous"):
        value = connection.exec_driver_sql(f"PRAGMA {name}").scalar()
        checked.looked_at[name] = value
    for row in connection.exec_driver_sql("PRAGMA integrity_check"):
        if row[0] != "ok":
            checked.broken.append(f"The database file is damaged: {row[0]}.")
    for row in connection.exec_driver_sql("PRAGMA foreign_key_check"):
        checked.broken.append(f"A row of {row[0]} refers to nothing.")


def _guards(connection: Connection, checked: Checked) -> None:
    """The triggers that keep what was published."""
    checked.broken.extend(guards.faults(connection))


def _digests(connection: Connection, checked: Checked) -> None:
    """Every document is the one its digest names."""
    columns = revisions.c
    query = select(columns.family, columns.number, columns.digest, columns.document)
    count = 0
    for family, number, digest, document in connection.execute(query):
        count += 1
        if hashlib.sha256(bytes(document)).hexdigest() != digest:
            checked.broken.append(f"Revision {family}.{number} is not what was kept.")
    checked.looked_at["revisions"] = count


def _numbers(connection: Connection, checked: Checked) -> None:
    """No revision has a number beyond the last given."""
    query = (
        select(revisions.c.family, revisions.c.number)
        .join(families, families.c.code == revisions.c.family)
        .where(revisions.c.number > families.c.last_number)
    )
    for family, number in connection.execute(query):
        checked.broken.append(f"Revision {family}.{number} was never numbered.")


def _logged(connection: Connection, checked: Checked) -> None:
    """Every revision has its log entry, written with it."""
    told = set(
        connection.execute(
            select(log.c.subject).where(
                log.c.kind == "revision", log.c.action == "create"
            )
        ).scalars()
    )
    for family, number in connection.execute(
        select(revisions.c.family, revisions.c.number)
    ):
        if f"{family}.{number}" not in told:
            checked.broken.append(f"Revision {family}.{number} is not in the log.")
    checked.looked_at["log entries of revisions"] = len(told)


def _replies(connection: Connection, checked: Checked) -> None:
    """No idempotency record is without its reply."""
    query = select(idempotency.c.key).where(idempotency.c.status.is_(None))
    for key in connection.execute(query).scalars():
        checked.broken.append(f"The idempotency key {key} has no reply.")


LOOKS: tuple[Callable[[Connection, Checked], None], ...] = (
    _file,
    _guards,
    _digests,
    _numbers,
    _logged,
    _replies,
)
"""Every check, in order."""
