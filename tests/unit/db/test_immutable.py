"""The database itself refuses to change what was published, or the log."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from dataclasses import replace

import pytest
from sqlalchemy import Engine, text
from sqlalchemy.exc import DBAPIError

from bomsvc.db import guards, triggers_complete
from bomsvc.db.engine import WRITES, open_engine
from bomsvc.db.store import SqlStore
from tests.unit.db import records


@pytest.fixture
def database(database_url: str) -> Iterator[Engine]:
    """A database with a published, a replaced and a draft revision."""
    store = SqlStore(database_url)
    with store.write() as uow:
        uow.revisions.lock_family("whimbrel", records.AT)
        for number in (1, 2, 3):
            uow.revisions.add(records.revision(number), records.DOCUMENT)
        first = records.revision(1, state="published")
        uow.revisions.mark(first)
        uow.revisions.mark(replace(first, state="replaced"))
        uow.revisions.mark(records.revision(2, state="published"))
        uow.log.add(
            at=records.AT,
            who="w",
            action="a",
            kind="k",
            subject="s",
            detail={},
            request_id=None,
        )
        uow.commit()
    store.close()
    engine = open_engine(database_url).execution_options(**{WRITES: True})
    yield engine
    engine.dispose()


FORBIDDEN = [
    *(
        f"UPDATE revisions SET {column} = {value} WHERE number = {number}"  # noqa: S608
        for number in (1, 2)
        for column, value in (
            ("document", "X'00'"),
            ("digest", "'" + "f" * 64 + "'"),
            ("number", "9"),
            ("published_by", "'me'"),
            ("created_at", "'then'"),
            ("state", "'draft'"),
            ("version", "9"),
            ("changed_by", "'me'"),
            ("changed_at", "'then'"),
        )
    ),
    "UPDATE revisions SET state = 'published' WHERE number = 1",
    "UPDATE revisions SET state = 'proven' WHERE number = 2",
    "DELETE FROM revisions WHERE number = 1",
    "DELETE FROM revisions WHERE number = 2",
    "DELETE FROM revisions",
    "UPDATE log SET who = 'nobody'",
    "DELETE FROM log",
]


@pytest.mark.parametrize("statement", FORBIDDEN)
def test_no_statement_changes_a_published_revision_or_the_log(
    database: Engine, statement: str
) -> None:
    if database.dialect.name == "postgresql":
        statement = statement.replace("X'00'", "'x'::bytea")
    with (
        pytest.raises(DBAPIError, match=r"never|a published revision"),
        database.begin() as connection,
    ):
        connection.execute(text(statement))


def test_replacing_a_row_does_not_slip_past_the_triggers(database: Engine) -> None:
    if database.dialect.name != "sqlite":
        with (
            pytest.raises(DBAPIError, match="never"),
            database.begin() as connection,
        ):
            connection.execute(text("TRUNCATE revisions"))
        return
    with pytest.raises(DBAPIError, match="never"), database.begin() as connection:
        connection.execute(
            text(
                "INSERT OR REPLACE INTO revisions (id, family, number, state, digest,"
                " document, name, version, created_at, created_by, changed_at,"
                " changed_by) SELECT id, family, number, 'draft', digest, X'00', name,"
                " 1, created_at, created_by, changed_at, changed_by FROM revisions"
                " WHERE number = 2"
            )
        )


REPLACING = [
    "REPLACE INTO revisions SELECT * FROM revisions WHERE number = {number}",
    *(
        "REPLACE INTO revisions (id, family, number, state, digest, document, name,"  # noqa: S608
        " version, created_at, created_by, changed_at, changed_by)"
        f" SELECT {chosen}, digest, X'00', name, 1, created_at, created_by, changed_at,"
        " changed_by FROM revisions WHERE number = {number}"
        for chosen in ("id, family, 77, 'draft'", "77, family, number, 'draft'")
    ),
    # Another published row of the family would push the published one out.
    "REPLACE INTO revisions SELECT 77, family, 77, 'published', digest, document, name,"
    " maker, note, version, created_at, created_by, changed_at, changed_by, NULL, NULL,"
    " NULL FROM revisions WHERE number = 3",
    "UPDATE OR REPLACE revisions SET state = 'published' WHERE number = 3",
    "UPDATE OR REPLACE revisions SET number = {number} WHERE number = 3",
    "UPDATE OR REPLACE revisions SET number = 1 WHERE number = 2",
    "UPDATE OR REPLACE revisions SET id ="
    " (SELECT id FROM revisions WHERE number = {number}) WHERE number = 3",
    "UPDATE OR REPLACE revisions SET rowid ="
    " (SELECT id FROM revisions WHERE number = {number}) WHERE number = 3",
    "UPDATE revisions SET rowid = 99 WHERE number = {number}",
    "REPLACE INTO log SELECT seq, at, 'nobody', action, kind, subject, detail,"
    " request_id FROM log",
    "INSERT OR REPLACE INTO log (seq, at, who, action, kind, subject, detail)"
    " VALUES (1, 't', 'nobody', 'a', 'k', 's', '{{}}')",
    "UPDATE OR REPLACE log SET seq = 2",
]


ONLY_SQLITE_HAS_REPLACE = pytest.mark.parametrize(
    "database_url", ["sqlite"], indirect=True
)


@ONLY_SQLITE_HAS_REPLACE
@pytest.mark.parametrize("number", [1, 2])
@pytest.mark.parametrize("statement", REPLACING)
def test_a_console_cannot_replace_what_was_published_or_logged(
    database: Engine, statement: str, number: int
) -> None:
    # A console opens the file with SQLite's own settings, not with the service's.
    with contextlib.closing(sqlite3.connect(str(database.url.database))) as console:
        assert console.execute("PRAGMA recursive_triggers").fetchone() == (0,)
        before = _kept(console)
        with pytest.raises(sqlite3.IntegrityError, match="never"):
            console.execute(statement.format(number=number))
        console.rollback()
        assert _kept(console) == before


@ONLY_SQLITE_HAS_REPLACE
def test_without_the_triggers_a_console_would_replace_a_published_revision(
    database: Engine,
) -> None:
    with contextlib.closing(sqlite3.connect(str(database.url.database))) as console:
        for statement in triggers_complete.SQLITE_DROP:
            console.execute(statement)
        before = _kept(console)
        console.execute(REPLACING[1].format(number=2))
        assert _kept(console) != before, "the test of the triggers cannot fail"


def _kept(console: sqlite3.Connection) -> list[object]:
    published = "SELECT * FROM revisions WHERE number IN (1, 2) ORDER BY number"
    return [*console.execute(published), *console.execute("SELECT * FROM log")]


def test_a_published_revision_may_still_be_marked_as_replaced(database: Engine) -> None:
    with database.begin() as connection:
        connection.execute(
            text("UPDATE revisions SET state = 'replaced' WHERE number = 2")
        )
        connection.execute(
            text("UPDATE revisions SET state = 'published' WHERE number = 3")
        )


def test_a_draft_may_change_and_go(database: Engine) -> None:
    with database.begin() as connection:
        connection.execute(text("UPDATE revisions SET name = 'other' WHERE number = 3"))
        gone = connection.execute(text("DELETE FROM revisions WHERE number = 3"))
        assert gone.rowcount == 1


def test_a_family_has_one_published_revision_at_most(database: Engine) -> None:
    with (
        pytest.raises(DBAPIError, match=r"(?i)unique"),
        database.begin() as connection,
    ):
        connection.execute(
            text("UPDATE revisions SET state = 'published' WHERE number = 3")
        )


def test_the_triggers_that_a_check_expects_are_there(database: Engine) -> None:
    kind = database.dialect.name
    query = {
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
        "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal",
    }[kind]
    with database.connect() as connection:
        found = frozenset(connection.execute(text(query)).scalars())
        assert list(guards.faults(connection)) == []
    assert found == frozenset(guards.EXPECTED[kind])


SHAM = {
    "sqlite": (
        "DROP TRIGGER revisions_kept",
        "CREATE TRIGGER revisions_kept BEFORE DELETE ON revisions"
        " WHEN OLD.state = 'published' BEGIN SELECT 1; END",
    ),
    "postgresql": (
        "CREATE OR REPLACE FUNCTION refuse_revision_change() RETURNS trigger"
        " LANGUAGE plpgsql AS $$ BEGIN RETURN NEW; END $$",
    ),
}
FEWER = {
    "sqlite": (
        "DROP TRIGGER log_frozen",
        "CREATE TRIGGER log_frozen BEFORE UPDATE OF who ON log"
        " BEGIN SELECT RAISE(ABORT, 'the log never changes'); END",
    ),
    "postgresql": (
        "DROP TRIGGER log_frozen ON log",
        "CREATE TRIGGER log_frozen BEFORE UPDATE OF who ON log"
        " FOR EACH ROW EXECUTE FUNCTION refuse_log_change()",
    ),
}


@pytest.mark.parametrize(
    ("statements", "trigger"),
    [
        (SHAM, {"sqlite": "revisions_kept", "postgresql": "revisions_frozen"}),
        (FEWER, {"sqlite": "log_frozen", "postgresql": "log_frozen"}),
    ],
)
def test_a_trigger_of_the_same_name_that_guards_less_is_found(
    database: Engine,
    statements: dict[str, tuple[str, ...]],
    trigger: dict[str, str],
) -> None:
    kind = database.dialect.name
    with database.begin() as connection:
        for statement in statements[kind]:
            connection.exec_driver_sql(statement)
        name = trigger[kind]
        assert list(guards.faults(connection)) == [
            f"The trigger {name} is not the one that was made: it was changed."
        ]
