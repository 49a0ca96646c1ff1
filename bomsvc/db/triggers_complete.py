"""Triggers that close what the first ones left open. Migration 0004 makes them.

On SQLite a REPLACE deletes the rows in its way without firing their DELETE triggers
unless the connection asked for it (`recursive_triggers`), which a console does not.
So a row that would push a published revision or a log entry out is refused as it
comes in. The columns compared are all there are, and the trigger names none of them
in `UPDATE OF`: a primary key written by its other name, `rowid`, would pass that.

A change to these is a new module with a new migration, never an edit here.
"""

from __future__ import annotations

from bomsvc.db import triggers as first

COLUMNS = (*first.FROZEN_COLUMNS, "version", "changed_at", "changed_by")
"""Everything of a published revision but its state."""
_FROZEN = "IN ('published', 'replaced')"
_SAME = " AND ".join(f"NEW.{column} IS OLD.{column}" for column in COLUMNS)
_STEP = (
    "(NEW.state IS OLD.state OR (OLD.state = 'published' AND NEW.state = 'replaced'))"
)
# Every unique key of the table, the index of the published ones among them.
_IN_ITS_WAY = f"""
    kept.state {_FROZEN} AND (
      kept.id = NEW.id
      OR (kept.family = NEW.family AND kept.number = NEW.number)
      OR (kept.state = 'published' AND NEW.state = 'published'
          AND kept.family = NEW.family))
"""
_PUSHED = "'a published revision is never pushed out: it is unique'"

SQLITE_CREATE = (
    f"""
    CREATE TRIGGER revisions_whole BEFORE UPDATE ON revisions
    WHEN OLD.state {_FROZEN} AND NOT ({_SAME} AND {_STEP})
    BEGIN SELECT RAISE(ABORT, 'a published revision never changes'); END
    """,
    f"""
    CREATE TRIGGER revisions_not_inserted_over BEFORE INSERT ON revisions
    WHEN EXISTS (SELECT 1 FROM revisions AS kept WHERE {_IN_ITS_WAY})
    BEGIN SELECT RAISE(ABORT, {_PUSHED}); END
    """,  # noqa: S608 - made of this module's own words
    f"""
    CREATE TRIGGER revisions_not_moved_over BEFORE UPDATE ON revisions
    WHEN EXISTS (
      SELECT 1 FROM revisions AS kept WHERE kept.id <> OLD.id AND {_IN_ITS_WAY})
    BEGIN SELECT RAISE(ABORT, {_PUSHED}); END
    """,  # noqa: S608 - made of this module's own words
    """
    CREATE TRIGGER log_not_inserted_over BEFORE INSERT ON log
    WHEN EXISTS (SELECT 1 FROM log AS kept WHERE kept.seq = NEW.seq)
    BEGIN SELECT RAISE(ABORT, 'the log never changes'); END
    """,
)
SQLITE_DROP = (
    "DROP TRIGGER revisions_whole",
    "DROP TRIGGER revisions_not_inserted_over",
    "DROP TRIGGER revisions_not_moved_over",
    "DROP TRIGGER log_not_inserted_over",
)

# PostgreSQL has no REPLACE, and its upsert fires the UPDATE trigger: only the
# columns are to be completed.
_CHANGED = " OR ".join(
    f"NEW.{column} IS DISTINCT FROM OLD.{column}" for column in COLUMNS
)
POSTGRESQL_CREATE = (
    f"""
    CREATE OR REPLACE FUNCTION refuse_revision_change() RETURNS trigger
    LANGUAGE plpgsql AS $$
    BEGIN
      IF TG_OP = 'DELETE' THEN
        IF OLD.state {_FROZEN} THEN
          RAISE EXCEPTION 'a published revision is never deleted';
        END IF;
        RETURN OLD;
      END IF;
      IF OLD.state {_FROZEN} AND ({_CHANGED}) THEN
        RAISE EXCEPTION 'a published revision never changes';
      END IF;
      IF (OLD.state = 'published' AND NEW.state NOT {_FROZEN})
         OR (OLD.state = 'replaced' AND NEW.state <> 'replaced') THEN
        RAISE EXCEPTION 'a published revision never changes';
      END IF;
      RETURN NEW;
    END $$
    """,
)
POSTGRESQL_DROP = (
    first.POSTGRESQL_CREATE[0].replace("CREATE FUNCTION", "CREATE OR REPLACE FUNCTION"),
)

CREATE = {"sqlite": SQLITE_CREATE, "postgresql": POSTGRESQL_CREATE}
DROP = {"sqlite": SQLITE_DROP, "postgresql": POSTGRESQL_DROP}
