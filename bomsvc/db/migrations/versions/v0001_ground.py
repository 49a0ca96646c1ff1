"""Families, revisions, engines on file, tokens, idempotency records, the log.

Revision ID: 0001
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

from bomsvc.db.triggers import CREATE, DROP

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

TEXT = sa.Text().with_variant(postgresql.TEXT(collation="C"), "postgresql")
WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
STRICT = {"sqlite_strict": True}
GROWING = {"sqlite_strict": True, "sqlite_autoincrement": True}


def upgrade() -> None:
    """Make the first tables."""
    _families()
    _revisions()
    _engines()
    _tokens()
    _idempotency()
    _log()
    for statement in CREATE[op.get_bind().dialect.name]:
        op.execute(sa.text(statement))


def downgrade() -> None:
    """Leave an empty database."""
    for statement in DROP[op.get_bind().dialect.name]:
        op.execute(sa.text(statement))
    for table in ("log", "idempotency", "tokens", "engines", "revisions", "families"):
        op.drop_table(table)


def _families() -> None:
    op.create_table(
        "families",
        sa.Column("code", TEXT, nullable=False),
        sa.Column("last_number", WHOLE, nullable=False),
        sa.Column("created_at", TEXT, nullable=False),
        sa.PrimaryKeyConstraint("code", name="pk_families"),
        **STRICT,
    )


def _revisions() -> None:
    op.create_table(
        "revisions",
        sa.Column("id", WHOLE, autoincrement=True, nullable=False),
        sa.Column("family", TEXT, nullable=False),
        sa.Column("number", WHOLE, nullable=False),
        sa.Column("state", TEXT, nullable=False),
        sa.Column("digest", TEXT, nullable=False),
        sa.Column("document", sa.LargeBinary(), nullable=False),
        sa.Column("name", TEXT, nullable=False),
        sa.Column("maker", TEXT),
        sa.Column("note", TEXT),
        sa.Column("version", WHOLE, nullable=False),
        sa.Column("created_at", TEXT, nullable=False),
        sa.Column("created_by", TEXT, nullable=False),
        sa.Column("changed_at", TEXT, nullable=False),
        sa.Column("changed_by", TEXT, nullable=False),
        sa.Column("published_at", TEXT),
        sa.Column("published_by", TEXT),
        sa.Column("accepted_warnings", TEXT),
        sa.CheckConstraint(
            "state IN ('draft', 'proven', 'published', 'replaced')",
            name="ck_revisions_state",
        ),
        sa.CheckConstraint("length(digest) = 64", name="ck_revisions_digest"),
        sa.CheckConstraint("number > 0", name="ck_revisions_number"),
        sa.ForeignKeyConstraint(
            ["family"], ["families.code"], name="fk_revisions_family_families"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_revisions"),
        sa.UniqueConstraint("family", "number", name="uq_revisions_family_number"),
        **GROWING,
    )
    published = sa.text("state = 'published'")
    op.create_index(
        "ix_revisions_one_published",
        "revisions",
        ["family"],
        unique=True,
        sqlite_where=published,
        postgresql_where=published,
    )
    op.create_index("ix_revisions_digest", "revisions", ["digest"])


def _engines() -> None:
    op.create_table(
        "engines",
        sa.Column("id", WHOLE, autoincrement=True, nullable=False),
        sa.Column("family", TEXT, nullable=False),
        sa.Column("serial", TEXT, nullable=False),
        sa.Column("serial_number", WHOLE, nullable=False),
        sa.Column("answers", TEXT, nullable=False),
        sa.Column("sources", TEXT, nullable=False),
        sa.Column("waived", TEXT, nullable=False),
        sa.Column("deviations", TEXT, nullable=False),
        sa.Column("plate_text", TEXT),
        sa.Column("unit_number", TEXT),
        sa.Column("notes", TEXT),
        sa.Column("version", WHOLE, nullable=False),
        sa.Column("created_at", TEXT, nullable=False),
        sa.Column("created_by", TEXT, nullable=False),
        sa.Column("changed_at", TEXT, nullable=False),
        sa.Column("changed_by", TEXT, nullable=False),
        sa.ForeignKeyConstraint(
            ["family"], ["families.code"], name="fk_engines_family_families"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_engines"),
        sa.UniqueConstraint("family", "serial", name="uq_engines_family_serial"),
        **GROWING,
    )
    op.create_index("ix_engines_serial", "engines", ["serial"])
    op.create_index("ix_engines_serial_number", "engines", ["serial_number"])


def _tokens() -> None:
    op.create_table(
        "tokens",
        sa.Column("id", WHOLE, autoincrement=True, nullable=False),
        sa.Column("secret_sha256", TEXT, nullable=False),
        sa.Column("name", TEXT, nullable=False),
        sa.Column("roles", TEXT, nullable=False),
        sa.Column("scope", TEXT),
        sa.Column("branch", TEXT),
        sa.Column("created_at", TEXT, nullable=False),
        sa.Column("created_by", TEXT, nullable=False),
        sa.Column("expires_at", TEXT, nullable=False),
        sa.Column("revoked_at", TEXT),
        sa.Column("revoked_by", TEXT),
        sa.CheckConstraint(
            "length(secret_sha256) = 64", name="ck_tokens_secret_sha256"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_tokens"),
        sa.UniqueConstraint("secret_sha256", name="uq_tokens_secret_sha256"),
        **GROWING,
    )


def _idempotency() -> None:
    op.create_table(
        "idempotency",
        sa.Column("principal", TEXT, nullable=False),
        sa.Column("operation", TEXT, nullable=False),
        sa.Column("key", TEXT, nullable=False),
        sa.Column("fingerprint", TEXT, nullable=False),
        sa.Column("created_at", TEXT, nullable=False),
        sa.Column("status", WHOLE),
        sa.Column("headers", TEXT),
        sa.Column("body", sa.LargeBinary()),
        sa.PrimaryKeyConstraint("principal", "operation", "key", name="pk_idempotency"),
        **STRICT,
    )
    op.create_index("ix_idempotency_created_at", "idempotency", ["created_at"])


def _log() -> None:
    op.create_table(
        "log",
        sa.Column("seq", WHOLE, autoincrement=True, nullable=False),
        sa.Column("at", TEXT, nullable=False),
        sa.Column("who", TEXT, nullable=False),
        sa.Column("action", TEXT, nullable=False),
        sa.Column("kind", TEXT, nullable=False),
        sa.Column("subject", TEXT, nullable=False),
        sa.Column("detail", TEXT, nullable=False),
        sa.Column("request_id", TEXT),
        sa.PrimaryKeyConstraint("seq", name="pk_log"),
        **GROWING,
    )
    op.create_index("ix_log_kind_subject", "log", ["kind", "subject"])
