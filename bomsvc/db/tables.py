"""The tables as the newest migration leaves them.

Rows are plain tuples read with Core statements; repositories translate them to
the service's records. Triggers that refuse changes to published revisions and to
the log stand in `triggers`. Columns are appended, never reordered.
"""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    MetaData,
    PrimaryKeyConstraint,
    Table,
    UniqueConstraint,
    text,
)

from bomsvc.db.columns import BYTES, NAMING_CONVENTION, TEXT, WHOLE

metadata = MetaData(naming_convention=NAMING_CONVENTION)

families = Table(
    "families",
    metadata,
    Column("code", TEXT, primary_key=True),
    # The last revision number given; a deleted draft's number is not used again.
    Column("last_number", WHOLE, nullable=False),
    Column("created_at", TEXT, nullable=False),
    sqlite_strict=True,
)

revisions = Table(
    "revisions",
    metadata,
    Column("id", WHOLE, primary_key=True, autoincrement=True),
    Column("family", TEXT, ForeignKey("families.code"), nullable=False),
    Column("number", WHOLE, nullable=False),
    Column("state", TEXT, nullable=False),
    Column("digest", TEXT, nullable=False),
    Column("document", BYTES, nullable=False),
    Column("name", TEXT, nullable=False),
    Column("maker", TEXT),
    Column("note", TEXT),
    Column("version", WHOLE, nullable=False),
    Column("created_at", TEXT, nullable=False),
    Column("created_by", TEXT, nullable=False),
    Column("changed_at", TEXT, nullable=False),
    Column("changed_by", TEXT, nullable=False),
    Column("published_at", TEXT),
    Column("published_by", TEXT),
    Column("accepted_warnings", TEXT),
    CheckConstraint(
        "state IN ('draft', 'proven', 'published', 'replaced')", name="state"
    ),
    CheckConstraint("length(digest) = 64", name="digest"),
    CheckConstraint("number > 0", name="number"),
    UniqueConstraint("family", "number"),
    Index(
        "ix_revisions_one_published",
        "family",
        unique=True,
        sqlite_where=text("state = 'published'"),
        postgresql_where=text("state = 'published'"),
    ),
    Index("ix_revisions_digest", "digest"),
    sqlite_strict=True,
    sqlite_autoincrement=True,
)

engines = Table(
    "engines",
    metadata,
    Column("id", WHOLE, primary_key=True, autoincrement=True),
    Column("family", TEXT, ForeignKey("families.code"), nullable=False),
    # As stamped, in the identity form of part numbers: "N210440".
    Column("serial", TEXT, nullable=False),
    Column("serial_number", WHOLE, nullable=False),
    # JSON text: answers, their sources, rules waived, deviations.
    Column("answers", TEXT, nullable=False),
    Column("sources", TEXT, nullable=False),
    Column("waived", TEXT, nullable=False),
    Column("deviations", TEXT, nullable=False),
    Column("plate_text", TEXT),
    Column("unit_number", TEXT),
    Column("notes", TEXT),
    Column("version", WHOLE, nullable=False),
    Column("created_at", TEXT, nullable=False),
    Column("created_by", TEXT, nullable=False),
    Column("changed_at", TEXT, nullable=False),
    Column("changed_by", TEXT, nullable=False),
    UniqueConstraint("family", "serial"),
    Index("ix_engines_serial", "serial"),
    Index("ix_engines_serial_number", "serial_number"),
    sqlite_strict=True,
    sqlite_autoincrement=True,
)

tokens = Table(
    "tokens",
    metadata,
    Column("id", WHOLE, primary_key=True, autoincrement=True),
    Column("secret_sha256", TEXT, nullable=False, unique=True),
    Column("name", TEXT, nullable=False),
    # JSON texts: role names; permission names that narrow the roles, or null.
    Column("roles", TEXT, nullable=False),
    Column("scope", TEXT),
    Column("branch", TEXT),
    Column("created_at", TEXT, nullable=False),
    Column("created_by", TEXT, nullable=False),
    Column("expires_at", TEXT, nullable=False),
    Column("revoked_at", TEXT),
    Column("revoked_by", TEXT),
    CheckConstraint("length(secret_sha256) = 64", name="secret_sha256"),
    sqlite_strict=True,
    sqlite_autoincrement=True,
)

idempotency = Table(
    "idempotency",
    metadata,
    Column("principal", TEXT, nullable=False),
    Column("operation", TEXT, nullable=False),
    Column("key", TEXT, nullable=False),
    Column("fingerprint", TEXT, nullable=False),
    Column("created_at", TEXT, nullable=False),
    # Null until the reply is known; the row is only ever seen complete, because
    # it is committed together with what the request did.
    Column("status", WHOLE),
    Column("headers", TEXT),
    Column("body", BYTES),
    PrimaryKeyConstraint("principal", "operation", "key"),
    Index("ix_idempotency_created_at", "created_at"),
    sqlite_strict=True,
)

log = Table(
    "log",
    metadata,
    # Order is by `seq`, not by time. Rows are sealed in batches later, in a table
    # of their own that names the rows of each batch: a log row never changes.
    Column("seq", WHOLE, primary_key=True, autoincrement=True),
    Column("at", TEXT, nullable=False),
    Column("who", TEXT, nullable=False),
    Column("action", TEXT, nullable=False),
    Column("kind", TEXT, nullable=False),
    Column("subject", TEXT, nullable=False),
    Column("detail", TEXT, nullable=False),
    Column("request_id", TEXT),
    Index("ix_log_kind_subject", "kind", "subject"),
    sqlite_strict=True,
    sqlite_autoincrement=True,
)

published_parts = Table(
    "published_parts",
    metadata,
    # What published revisions say of each part: made from their documents, and
    # made again whenever a revision is published.
    Column("family", TEXT, ForeignKey("families.code"), nullable=False),
    Column("identity", TEXT, nullable=False),
    Column("search_key", TEXT, nullable=False),
    Column("number", TEXT, nullable=False),
    Column("name", TEXT, nullable=False),
    Column("name_key", TEXT, nullable=False),
    Column("kind", TEXT, nullable=False),
    Column("data", TEXT, nullable=False),
    PrimaryKeyConstraint("family", "identity"),
    Index("ix_published_parts_identity", "identity"),
    Index("ix_published_parts_search_key", "search_key"),
    sqlite_strict=True,
)

proofs = Table(
    "proofs",
    metadata,
    # The last report of a proof, by the digest of what was proven: JSON text.
    Column("digest", TEXT, primary_key=True),
    Column("report", BYTES, nullable=False),
    Column("made_at", TEXT, nullable=False),
    Column("made_by", TEXT, nullable=False),
    CheckConstraint("length(digest) = 64", name="digest"),
    sqlite_strict=True,
)
