"""Triggers that refuse a REPLACE over what was published or logged.

They also freeze every column of a published revision but the step to `replaced`.

Revision ID: 0004
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from bomsvc.db.triggers_complete import CREATE, DROP

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the triggers."""
    for statement in CREATE[op.get_bind().dialect.name]:
        op.execute(sa.text(statement))


def downgrade() -> None:
    """Leave the triggers of version 0001 as they were."""
    for statement in DROP[op.get_bind().dialect.name]:
        op.execute(sa.text(statement))
