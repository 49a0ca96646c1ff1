"""Whether the triggers in a database are those the migrations made, word for word.

A trigger of the right name with another body guards nothing, so names alone do not
tell.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from sqlalchemy import text
from sqlalchemy.engine import Connection

from bomsvc.db import triggers, triggers_complete

_TRIGGER = re.compile(
    r"CREATE TRIGGER (?P<name>\w+) (?P<when>BEFORE|AFTER) (?P<events>[A-Z ]+?)"
    r" ON (?P<table>\w+) FOR EACH (?P<level>ROW|STATEMENT)"
    r" EXECUTE FUNCTION (?P<function>\w+)\(\)"
)
_FUNCTION = re.compile(r"CREATE (?:OR REPLACE )?FUNCTION (\w+)\(\).*?\$\$(.*)\$\$")
_BITS = {"ROW": 1, "BEFORE": 2, "INSERT": 4, "DELETE": 8, "UPDATE": 16, "TRUNCATE": 32}
"""The bits of `pg_trigger.tgtype` (PostgreSQL sources, catalog/pg_trigger.h)."""


def faults(connection: Connection) -> Iterator[str]:
    """Yield a sentence for each trigger that is gone or is not the one made."""
    kind = connection.dialect.name
    expected = EXPECTED[kind]
    found = _FOUND[kind](connection)
    for name in sorted(expected):
        if name not in found:
            yield f"The trigger {name} is gone."
        elif found[name] != expected[name]:
            yield f"The trigger {name} is not the one that was made: it was changed."


def _plain(sql: str) -> str:
    return " ".join(sql.split())


def _on_sqlite(connection: Connection) -> dict[str, str]:
    query = text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
    return {name: _plain(sql) for name, sql in connection.execute(query)}


def _on_postgresql(connection: Connection) -> dict[str, str]:
    """Return the enabled triggers: what fires them, and what they run."""
    query = text(
        "SELECT t.tgname, t.tgtype, c.relname, p.proname, p.prosrc,"
        " t.tgqual IS NULL AND t.tgattr = ''::int2vector"
        " FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid"
        " JOIN pg_proc p ON p.oid = t.tgfoid"
        " WHERE NOT t.tgisinternal AND t.tgenabled <> 'D'"
    )
    return {
        name: _as_word(kind, table, function, body) if always else "only sometimes"
        for name, kind, table, function, body, always in connection.execute(query)
    }


def _as_word(kind: int, table: str, function: str, body: str) -> str:
    return f"{kind} on {table}: {function} {_plain(body)}"


def _sqlite_expected() -> dict[str, str]:
    made = [*triggers.SQLITE_CREATE, *triggers_complete.SQLITE_CREATE]
    return {_plain(sql).split()[2]: _plain(sql) for sql in made}


def _postgresql_expected() -> dict[str, str]:
    made = [*triggers.POSTGRESQL_CREATE, *triggers_complete.POSTGRESQL_CREATE]
    bodies: dict[str, str] = {}
    expected: dict[str, str] = {}
    # The later definition of a function is the one in force.
    for sql in map(_plain, made):
        if function := _FUNCTION.match(sql):
            bodies[function[1]] = function[2]
    for sql in map(_plain, made):
        if trigger := _TRIGGER.match(sql):
            name = trigger["function"]
            expected[trigger["name"]] = _as_word(
                _kind(trigger), trigger["table"], name, bodies[name]
            )
    return expected


def _kind(trigger: re.Match[str]) -> int:
    words = [trigger["when"], trigger["level"], *trigger["events"].split(" OR ")]
    return sum(_BITS.get(word, 0) for word in words)


_FOUND = {"sqlite": _on_sqlite, "postgresql": _on_postgresql}
EXPECTED: Mapping[str, Mapping[str, str]] = {
    "sqlite": _sqlite_expected(),
    "postgresql": _postgresql_expected(),
}
"""Per dialect: trigger -> how the database tells of it."""
