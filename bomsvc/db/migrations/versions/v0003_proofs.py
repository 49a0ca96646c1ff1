"""Reports of proofs, kept by the digest of what was proven.

The way down loses no more than a proof made again gives back.

Revision ID: 0003
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

TEXT = sa.Text().with_variant(postgresql.TEXT(collation="C"), "postgresql")


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "proofs",
        sa.Column("digest", TEXT, nullable=False),
        sa.Column("report", sa.LargeBinary(), nullable=False),
        sa.Column("made_at", TEXT, nullable=False),
        sa.Column("made_by", TEXT, nullable=False),
        sa.CheckConstraint("length(digest) = 64", name="ck_proofs_digest"),
        sa.PrimaryKeyConstraint("digest", name="pk_proofs"),
        sqlite_strict=True,
    )


def downgrade() -> None:
    """Drop the table; its rows can be made again."""
    op.drop_table("proofs")
