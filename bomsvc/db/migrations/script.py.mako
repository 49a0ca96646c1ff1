"""${message}

Rules for every migration:
- It runs on databases full of data: test it up, down and up again on both kinds.
- SQLite rebuilds a table for most changes: triggers on it vanish and must be made
  again, and unnamed constraints are lost.
- It imports nothing of the application that may change later.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = ${repr(up_revision)}
down_revision = ${repr(down_revision)}
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Say what changes."""
    ${upgrades if upgrades else "pass"}


def downgrade() -> None:
    """Say how it is taken back, without losing data."""
    ${downgrades if downgrades else "pass"}
