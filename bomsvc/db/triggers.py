"""Triggers that keep published revisions and the log as they are.

The database itself refuses, so a faulty statement, a forgotten check or a person
with a console cannot change what was published (short of dropping the trigger,
which `bomsvc check` reports). Migration 0001 creates these: a change to them is a new
module with a new migration, never an edit here.
"""

from __future__ import annotations

FROZEN_COLUMNS = (
    "id",
    "family",
    "number",
    "digest",
    "document",
    "name",
    "maker",
    "note",
    "created_at",
    "created_by",
    "published_at",
    "published_by",
    "accepted_warnings",
)
_FROZEN = ", ".join(FROZEN_COLUMNS)

SQLITE_CREATE = (
    f"""
    CREATE TRIGGER revisions_frozen BEFORE UPDATE OF {_FROZEN} ON revisions
    WHEN OLD.state IN ('published', 'replaced')
    BEGIN SELECT RAISE(ABORT, 'a published revision never changes'); END
    """,
    """
    CREATE TRIGGER revisions_state BEFORE UPDATE OF state ON revisions
    WHEN (OLD.state = 'published' AND NEW.state NOT IN ('published', 'replaced'))
      OR (OLD.state = 'replaced' AND NEW.state <> 'replaced')
    BEGIN SELECT RAISE(ABORT, 'a published revision never changes'); END
    """,
    """
    CREATE TRIGGER revisions_kept BEFORE DELETE ON revisions
    WHEN OLD.state IN ('published', 'replaced')
    BEGIN SELECT RAISE(ABORT, 'a published revision is never deleted'); END
    """,
    """
    CREATE TRIGGER log_frozen BEFORE UPDATE ON log
    BEGIN SELECT RAISE(ABORT, 'the log never changes'); END
    """,
    """
    CREATE TRIGGER log_kept BEFORE DELETE ON log
    BEGIN SELECT RAISE(ABORT, 'the log is never deleted'); END
    """,
)
SQLITE_DROP = (
    "DROP TRIGGER revisions_frozen",
    "DROP TRIGGER revisions_state",
    "DROP TRIGGER revisions_kept",
    "DROP TRIGGER log_frozen",
    "DROP TRIGGER log_kept",
)

_CHANGED = " OR ".join(
    f"NEW.{column} IS DISTINCT FROM OLD.{column}" for column in FROZEN_COLUMNS
)
POSTGRESQL_CREATE = (
    f"""
    CREATE FUNCTION refuse_revision_change() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
      IF TG_OP = 'DELETE' THEN
        IF OLD.state IN ('published', 'replaced') THEN
          RAISE EXCEPTION 'a published revision is never deleted';
        END IF;
        RETURN OLD;
      END IF;
      IF OLD.state IN ('published', 'replaced') AND ({_CHANGED}) THEN
        RAISE EXCEPTION 'a published revision never changes';
      END IF;
      IF (OLD.state = 'published' AND NEW.state NOT IN ('published', 'replaced'))
         OR (OLD.state = 'replaced' AND NEW.state <> 'replaced') THEN
        RAISE EXCEPTION 'a published revision never changes';
      END IF;
      RETURN NEW;
    END $$
    """,
    """
    CREATE TRIGGER revisions_frozen BEFORE UPDATE OR DELETE ON revisions
    FOR EACH ROW EXECUTE FUNCTION refuse_revision_change()
    """,
    """
    CREATE FUNCTION refuse_log_change() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
      RAISE EXCEPTION 'the log never changes';
    END $$
    """,
    """
    CREATE TRIGGER log_frozen BEFORE UPDATE OR DELETE ON log
    FOR EACH ROW EXECUTE FUNCTION refuse_log_change()
    """,
    # Row triggers do not see TRUNCATE.
    """
    CREATE TRIGGER revisions_untruncated BEFORE TRUNCATE ON revisions
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_log_change()
    """,
    """
    CREATE TRIGGER log_untruncated BEFORE TRUNCATE ON log
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_log_change()
    """,
)
POSTGRESQL_DROP = (
    "DROP TRIGGER revisions_untruncated ON revisions",
    "DROP TRIGGER log_untruncated ON log",
    "DROP TRIGGER revisions_frozen ON revisions",
    "DROP FUNCTION refuse_revision_change()",
    "DROP TRIGGER log_frozen ON log",
    "DROP FUNCTION refuse_log_change()",
)

CREATE = {"sqlite": SQLITE_CREATE, "postgresql": POSTGRESQL_CREATE}
DROP = {"sqlite": SQLITE_DROP, "postgresql": POSTGRESQL_DROP}
