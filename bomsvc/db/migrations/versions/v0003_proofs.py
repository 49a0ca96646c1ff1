"""Reports of proofs, kept by the digest of what was proven.

The way down sets the table aside where it holds reports, and the way up takes it
back: a report says who proved what and when, which no new proof can say.

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

SET_ASIDE = "proofs_set_aside"
TEXT = sa.Text().with_variant(postgresql.TEXT(collation="C"), "postgresql")


def upgrade() -> None:
    """Make the table, or take back the one that was set aside."""
    if sa.inspect(op.get_bind()).has_table(SET_ASIDE):
        op.rename_table(SET_ASIDE, "proofs")
        return
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
    """Drop the table where it is empty, else set it aside with its reports."""
    some = op.get_bind().execute(sa.text("SELECT 1 FROM proofs LIMIT 1")).first()
    if some is None:
        op.drop_table("proofs")
    else:
        op.rename_table("proofs", SET_ASIDE)
