"""Migrations lose nothing on either kind of database, up, down and up again."""

from __future__ import annotations

import pytest
from sqlalchemy import text

from bomsvc.core.terms.problems import BadInput
from bomsvc.core.terms.words import part_identity, part_search_key
from bomsvc.db import migrate
from bomsvc.db.drift import differences
from bomsvc.db.engine import open_engine
from bomsvc.db.migrate import (
    NEWEST,
    bring_up_to_date,
    downgrade,
    schema_version,
    upgrade,
)
from bomsvc.db.store import SqlStore
from bomsvc.db.tables import metadata
from bomsvc.service.agreement import name_key
from bomsvc.service.records import KeptProof
from tests.unit.db import records


def fill(url: str) -> None:
    """Put something into every table."""
    store = SqlStore(url)
    with store.write() as uow:
        uow.revisions.lock_family("whimbrel", records.AT)
        assert uow.revisions.next_number("whimbrel") == 1
        uow.revisions.add(records.revision(), records.DOCUMENT)
        uow.revisions.mark(records.revision(state="published"))
        assert uow.engines.add(records.engine())
        uow.tokens.add(records.token(), "a" * 64)
        names = {"principal": "token:1", "operation": "createEngine", "key": "k"}
        uow.replies.claim(**names, fingerprint="f", at=records.AT)
        uow.replies.keep(**names, reply=records.REPLY)
        uow.log.add(
            at=records.AT,
            who=records.WHO,
            action="publish",
            kind="revision",
            subject="whimbrel.1",
            detail={"digest": "x"},
            request_id=None,
        )
        uow.commit()
    store.close()


def everything(url: str) -> dict[str, list[tuple[object, ...]]]:
    """Return every row of every table that holds what cannot be made again."""
    tables = ("families", "revisions", "engines", "tokens", "idempotency", "log")
    engine = open_engine(url)
    with engine.connect() as connection:
        found = {
            name: sorted(map(tuple, connection.execute(metadata.tables[name].select())))
            for name in tables
        }
    engine.dispose()
    return found


def version_of(url: str) -> str | None:
    engine = open_engine(url)
    with engine.connect() as connection:
        version = schema_version(connection)
    engine.dispose()
    return version


def test_a_filled_database_goes_down_and_up_again_without_losing_a_row(
    empty_url: str,
) -> None:
    upgrade(empty_url)
    fill(empty_url)
    before = everything(empty_url)
    assert all(before.values()), "the test must fill every table"
    downgrade(empty_url, "0001")
    assert version_of(empty_url) == "0001"
    assert everything(empty_url) == before
    upgrade(empty_url)
    assert everything(empty_url) == before
    assert differences(empty_url) == []


@pytest.mark.parametrize("version", ["0002", "0001"])
def test_going_down_and_up_again_keeps_who_proved_what_and_when(
    empty_url: str, version: str
) -> None:
    upgrade(empty_url)
    proof = KeptProof("d" * 64, b'{"clean":true}', records.AT, records.WHO)
    store = SqlStore(empty_url)
    with store.write() as uow:
        uow.proofs.keep(proof)
        uow.commit()
    store.close()
    downgrade(empty_url, version)
    upgrade(empty_url)
    with store.read() as uow:
        assert uow.proofs.get(proof.digest) == proof
    store.close()
    assert differences(empty_url) == []


def test_going_up_makes_the_parts_of_published_revisions_again(empty_url: str) -> None:
    upgrade(empty_url, "0001")
    fill(empty_url)
    upgrade(empty_url)
    store = SqlStore(empty_url)
    with store.read() as uow:
        pan = uow.parts.get("W40.1187")
        screw = uow.parts.get(part_identity("W 11\u20130045"))
    store.close()
    assert [(p.number, p.kind, p.name_key) for p in pan] == [
        ("w40.1187", "component", name_key("Oil pan, rear sump"))
    ]
    assert pan[0].data == (
        '{"name":"Oil pan, rear sump","number":"w40.1187","mass_kg":7.25}'
    )
    # The migration has its own copy of these rules, frozen with it.
    assert screw[0].search_key == part_search_key("W 11\u20130045") == "W110045"


def test_an_empty_database_goes_all_the_way_down_and_up_again(empty_url: str) -> None:
    upgrade(empty_url)
    downgrade(empty_url, "base")
    engine = open_engine(empty_url)
    with engine.connect() as connection:
        kind = connection.dialect.name
        left = connection.execute(text(LEFT[kind])).scalars().all()
    engine.dispose()
    assert left == []
    bring_up_to_date(empty_url)
    fill(empty_url)


LEFT = {
    "sqlite": "SELECT name FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'"
    " AND name NOT LIKE '%alembic_version%'",
    "postgresql": "SELECT relname FROM pg_class WHERE relnamespace ="
    " 'public'::regnamespace AND relname NOT LIKE 'alembic_version%'"
    " UNION ALL SELECT proname FROM pg_proc WHERE pronamespace ="
    " 'public'::regnamespace",
}


def test_a_migration_that_fails_leaves_the_database_as_it_was(
    empty_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    upgrade(empty_url, "0001")
    fill(empty_url)
    before = everything(empty_url)

    def broken(connection: object) -> None:
        del connection
        raise RuntimeError("killed at the end of the migration")

    monkeypatch.setattr(migrate, "_check_foreign_keys", broken)
    with pytest.raises(RuntimeError, match="killed"):
        upgrade(empty_url)
    monkeypatch.undo()
    assert version_of(empty_url) == "0001"
    assert everything(empty_url) == before
    upgrade(empty_url)


def test_a_database_of_a_newer_release_is_refused_before_anything_is_done(
    database_url: str,
) -> None:
    engine = open_engine(database_url)
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    engine.dispose()
    with pytest.raises(BadInput, match="newer release"):
        bring_up_to_date(database_url)


def test_the_newest_version_is_the_head_of_the_migrations() -> None:
    from alembic.script import ScriptDirectory

    scripts = ScriptDirectory.from_config(migrate.migration_config(None))
    assert scripts.get_current_head() == NEWEST


def test_an_up_to_date_database_needs_no_migration_library(database_url: str) -> None:
    import subprocess
    import sys

    code = (
        "import sys; from bomsvc.db.migrate import bring_up_to_date;"
        f"bring_up_to_date({database_url!r}); print('alembic' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "False"
