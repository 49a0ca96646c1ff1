"""Schema migrations, numbered in order; Alembic runs them (see `db.migrate`)."""
