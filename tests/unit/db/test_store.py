"""Units of work and repositories, on both kinds of database."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import text

from bomsvc.core.terms.problems import BadInput
from bomsvc.db.engine import open_engine, sqlite_journal_mode
from bomsvc.db.migrate import NEWEST
from bomsvc.db.store import SqlStore, SqlUnit
from bomsvc.service.refusals import KeyReused, Unavailable
from tests.unit.db import records


@pytest.fixture
def store(database_url: str) -> Iterator[SqlStore]:
    made = SqlStore(database_url)
    with made.write() as uow:
        uow.revisions.lock_family("whimbrel", records.AT)
        uow.revisions.lock_family("dunlin", records.AT)
        uow.commit()
    yield made
    made.close()


def test_what_is_not_committed_is_undone(store: SqlStore) -> None:
    with store.write() as uow:
        assert uow.engines.add(records.engine())

    def break_off() -> None:
        with store.write() as uow:
            assert uow.engines.add(records.engine("N210441"))
            raise RuntimeError

    with pytest.raises(RuntimeError):
        break_off()
    with store.read() as uow:
        assert uow.engines.listed(family=None, after=0, limit=9) == []


def test_an_engine_comes_back_as_it_was_written(store: SqlStore) -> None:
    made = records.engine(unit_number="Boat 7", notes="two\nlines")
    with store.write() as uow:
        assert uow.engines.add(made)
        uow.commit()
    with store.read() as uow:
        assert uow.engines.find("N210440", None) == [made]
        assert uow.engines.find("210440", "whimbrel") == [made]
        assert uow.engines.find("S210440", None) == []
        assert uow.engines.find("N210440", "dunlin") == []


def test_a_serial_is_on_file_once_per_family(store: SqlStore) -> None:
    with store.write() as uow:
        assert uow.engines.add(records.engine())
        assert not uow.engines.add(records.engine())
        assert uow.engines.add(replace(records.engine(), family="dunlin"))
        uow.commit()
    with store.read() as uow:
        assert len(uow.engines.find("N210440", None)) == 2


def test_a_bare_number_may_mean_engines_of_several_plants(store: SqlStore) -> None:
    with store.write() as uow:
        uow.engines.add(records.engine("N210440"))
        uow.engines.add(records.engine("S210440"))
        uow.commit()
    with store.read() as uow:
        assert [e.serial for e in uow.engines.find("210440", None)] == [
            "N210440",
            "S210440",
        ]


def test_a_revision_number_is_never_given_twice(store: SqlStore) -> None:
    with store.write() as uow:
        number = uow.revisions.next_number("whimbrel")
        uow.revisions.add(records.revision(number), b"{}")
        uow.revisions.delete("whimbrel", number)
        uow.commit()
    with store.write() as uow:
        assert uow.revisions.next_number("whimbrel") == number + 1


def test_revisions_come_newest_first_and_by_digest(store: SqlStore) -> None:
    with store.write() as uow:
        for number in (1, 2, 3):
            uow.revisions.add(records.revision(number), b'{"n":%d}' % number)
        uow.revisions.mark(records.revision(2, state="published"))
        uow.commit()
    with store.read() as uow:
        assert [
            r.number for r in uow.revisions.listed("whimbrel", after=3, limit=9)
        ] == [
            2,
            1,
        ]
        assert uow.revisions.published("whimbrel") == records.revision(
            2, state="published"
        )
        assert uow.revisions.with_digest("whimbrel", f"{3:064x}") == records.revision(3)
        assert uow.revisions.with_digest("dunlin", f"{3:064x}") is None
        assert uow.revisions.document("whimbrel", 3) == b'{"n":3}'
        family = uow.revisions.family("whimbrel")
        assert family is not None
        assert family.newest.number == 3
        # A family whose last draft was deleted is not shown.
        assert [f.code for f in uow.revisions.families(after="", limit=9)] == [
            "whimbrel"
        ]


def test_a_token_is_found_by_its_hash_until_it_is_revoked(store: SqlStore) -> None:
    with store.write() as uow:
        made = uow.tokens.add(records.token(scope=("part.read",)), "b" * 64)
        uow.tokens.revoke(made.id, at=records.LATER, who="local:admin")
        uow.tokens.revoke(made.id, at=records.AT, who="local:other")
        uow.commit()
    with store.read() as uow:
        assert uow.tokens.by_secret("c" * 64) is None
        found = uow.tokens.by_secret("b" * 64)
    assert found == replace(made, revoked_at=records.LATER, revoked_by="local:admin")


def test_a_reply_comes_back_for_its_key_and_body_only(store: SqlStore) -> None:
    names = {"principal": "token:1", "operation": "createEngine", "key": "k"}
    with store.write() as uow:
        assert uow.replies.claim(**names, fingerprint="f", at=records.AT) is None
        uow.replies.keep(**names, reply=records.REPLY)
        uow.commit()
    with store.write() as uow:
        claimed = uow.replies.claim(**names, fingerprint="f", at=records.LATER)
        assert claimed == records.REPLY
        other = {**names, "principal": "token:2"}
        assert uow.replies.claim(**other, fingerprint="f", at=records.AT) is None
        with pytest.raises(KeyReused):
            uow.replies.claim(**names, fingerprint="other", at=records.LATER)
    with store.write() as uow:
        uow.replies.forget_before(records.LATER)
        assert uow.replies.claim(**names, fingerprint="new", at=records.LATER) is None


def test_whoever_comes_second_with_a_key_waits_for_the_first_reply(
    store: SqlStore,
) -> None:
    names = {"principal": "token:1", "operation": "createEngine", "key": "k"}
    claimed, go_on = threading.Event(), threading.Event()
    replies: list[object] = []

    def first() -> None:
        with store.write() as uow:
            replies.append(uow.replies.claim(**names, fingerprint="f", at=records.AT))
            claimed.set()
            go_on.wait(5)
            uow.replies.keep(**names, reply=records.REPLY)
            uow.commit()

    def second() -> None:
        claimed.wait(5)
        with store.write() as uow:
            replies.append(uow.replies.claim(**names, fingerprint="f", at=records.AT))

    threads = [threading.Thread(target=first), threading.Thread(target=second)]
    for thread in threads:
        thread.start()
    claimed.wait(5)
    go_on.set()
    for thread in threads:
        thread.join(10)
    assert replies == [None, records.REPLY]


def test_parts_are_found_by_loose_number_or_by_name(store: SqlStore) -> None:
    odd = replace(records.part("W%_1"), name_key="100 % washer", name="100 % washer")
    with store.write() as uow:
        uow.parts.replace("whimbrel", [records.part(), odd])
        uow.parts.replace("dunlin", [records.part(family="dunlin")])
        uow.commit()
    first = ("", "")
    with store.read() as uow:
        found = uow.parts.search(key="W40", name=None, after=first, limit=9)
        assert [(p.identity, p.family) for p in found] == [
            ("W40.1187", "dunlin"),
            ("W40.1187", "whimbrel"),
        ]
        after = ("W40.1187", "dunlin")
        assert len(uow.parts.search(key="W40", name=None, after=after, limit=9)) == 1
        assert uow.parts.search(key="", name="% wash", after=first, limit=9) == [odd]
        # Signs of LIKE are letters like any other.
        assert uow.parts.search(key="%", name=None, after=first, limit=9) == []
        assert uow.parts.search(key="W4_1", name=None, after=first, limit=9) == []
        assert [p.family for p in uow.parts.elsewhere("dunlin", ["W40.1187"])] == [
            "whimbrel"
        ]
    with store.write() as uow:
        uow.parts.replace("whimbrel", [])
        assert [p.family for p in uow.parts.get("W40.1187")] == ["dunlin"]


def test_log_entries_come_newest_first(store: SqlStore) -> None:
    with store.write() as uow:
        for subject in ("a", "b", "c"):
            uow.log.add(
                at=records.AT,
                who="w",
                action="create",
                kind="engine",
                subject=subject,
                detail={"n": subject},
                request_id="r",
            )
        uow.commit()
    with store.read() as uow:
        newest = uow.log.listed(after=2**62, limit=2)
        assert [entry.subject for entry in newest] == ["c", "b"]
        rest = uow.log.listed(after=newest[-1].seq, limit=2)
        assert [(e.subject, e.detail) for e in rest] == [("a", {"n": "a"})]
        assert uow.log.listed(after=2**62, limit=9, subject="b", kind="token") == []


def test_a_savepoint_undoes_its_own_part_only(store: SqlStore) -> None:
    def break_off(uow: SqlUnit) -> None:
        with uow.savepoint():
            uow.engines.add(records.engine("N2"))
            raise RuntimeError

    with store.write() as uow:
        uow.engines.add(records.engine("N1"))
        with pytest.raises(RuntimeError):
            break_off(uow)
        uow.commit()
    with store.read() as uow:
        listed = uow.engines.listed(family=None, after=0, limit=9)
        assert [engine.serial for _id, engine in listed] == ["N1"]


def test_many_writers_number_revisions_without_gap_or_duplicate(
    store: SqlStore,
) -> None:
    def write() -> None:
        for _ in range(5):
            with store.write() as uow:
                uow.revisions.lock_family("whimbrel", records.AT)
                number = uow.revisions.next_number("whimbrel")
                uow.revisions.add(records.revision(number), b"{}")
                uow.commit()

    threads = [threading.Thread(target=write) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    with store.read() as uow:
        heads = uow.revisions.listed("whimbrel", after=2**31, limit=99)
    assert [head.number for head in heads] == list(range(30, 0, -1))


POSTGRESQL = pytest.param("postgresql", marks=pytest.mark.postgresql)
# With SQLite's rollback journal a commit waits for readers instead.
WRITES_BESIDE_READERS = (
    [POSTGRESQL] if sqlite_journal_mode() == "DELETE" else ["sqlite", POSTGRESQL]
)


@pytest.mark.parametrize("database_url", WRITES_BESIDE_READERS, indirect=True)
def test_a_reader_sees_one_state_while_a_writer_commits(database_url: str) -> None:
    store = SqlStore(database_url)
    with store.read() as reading:
        assert reading.revisions.family_codes() == ()
        with store.write() as writing:
            writing.revisions.lock_family("whimbrel", records.AT)
            writing.commit()
        assert reading.revisions.family_codes() == ()
    store.close()


@pytest.mark.parametrize("database_url", [POSTGRESQL], indirect=True)
def test_a_read_unit_cannot_write_on_postgresql(store: SqlStore) -> None:
    with pytest.raises(Exception, match="read-only"), store.read() as uow:
        uow.revisions.lock_family("other", records.AT)


def test_sqlite_is_opened_durable_and_strict(sqlite_url: str) -> None:
    engine = open_engine(sqlite_url)
    with engine.connect() as connection:

        def pragma(name: str) -> object:
            return connection.exec_driver_sql(f"PRAGMA {name}").scalar()

        assert pragma("synchronous") == 2
        assert pragma("foreign_keys") == 1
        assert pragma("recursive_triggers") == 1
        assert str(pragma("journal_mode")).upper() == sqlite_journal_mode()
        tables = connection.exec_driver_sql(
            "SELECT name FROM pragma_table_list WHERE NOT strict AND schema = 'main'"
            " AND name NOT LIKE 'sqlite_%' AND name <> 'alembic_version'"
        ).fetchall()
        assert tables == []
    engine.dispose()


def test_wal_is_used_only_where_its_known_fault_is_mended(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sqlite3, "sqlite_version_info", (3, 51, 2))
    assert sqlite_journal_mode() == "DELETE"
    monkeypatch.setattr(sqlite3, "sqlite_version_info", (3, 51, 3))
    assert sqlite_journal_mode() == "WAL"


def test_a_database_that_is_away_is_told_as_such(tmp_path: Path) -> None:
    store = SqlStore(f"sqlite:///{tmp_path / 'none.sqlite3'}")
    with pytest.raises(Unavailable), store.read() as uow:
        uow.revisions.family_codes()
    assert store.ready() == f"The database has schema version None, not {NEWEST}."
    away = SqlStore(f"postgresql://nobody@/none?host={tmp_path}")
    assert away.ready() == "The database cannot serve this now."
    store.close()
    away.close()


@pytest.mark.postgresql
def test_a_server_that_may_lose_commits_is_refused(database_url: str) -> None:
    from bomsvc.db.engine import refuse_undurable

    class Lossy:
        class dialect:  # noqa: N801
            name = "postgresql"

        def execute(self, _statement: object) -> Lossy:
            return self

        def scalar(self) -> str:
            return "off"

    with pytest.raises(BadInput, match="can lose data"):
        refuse_undurable(Lossy())  # type: ignore[arg-type]
    engine = open_engine(database_url)
    with engine.connect() as connection:
        refuse_undurable(connection)
        assert connection.execute(text("SELECT 1")).scalar() == 1
    engine.dispose()


@pytest.mark.parametrize("url", ["sqlite://", "sqlite:///:memory:", "no url at all"])
def test_a_database_that_keeps_nothing_is_refused(url: str) -> None:
    with pytest.raises(BadInput, match="BOMSVC_DATABASE_URL"):
        open_engine(url)
