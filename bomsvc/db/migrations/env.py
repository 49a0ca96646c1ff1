"""Alembic's entry: runs on the connection `db.migrate` hands over.

The caller owns the transaction, so that every step of an upgrade happens or none.
"""

from __future__ import annotations

from alembic import context

from bomsvc.db.tables import metadata

connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=metadata,
    render_as_batch=connection.dialect.name == "sqlite",
    transactional_ddl=True,
)
context.run_migrations()
