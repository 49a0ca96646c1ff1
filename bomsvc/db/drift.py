"""Tells whether the migrations lead to the tables the code knows.

`python -m bomsvc.db.drift` upgrades an empty SQLite database and compares; the
tests do the same on PostgreSQL. Exit code 1 where they differ.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from bomsvc.db.engine import open_engine
from bomsvc.db.migrate import bring_up_to_date
from bomsvc.db.tables import metadata


def differences(url: str) -> list[str]:
    """Return what differs between the database of `url` and the tables."""
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    engine = open_engine(url)
    try:
        with engine.connect() as connection:
            context = MigrationContext.configure(
                connection, opts={"compare_type": True}
            )
            return [str(item) for item in compare_metadata(context, metadata)]
    finally:
        engine.dispose()


def main() -> int:
    """Compare on a new SQLite database and print what differs."""
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{Path(folder) / 'drift.sqlite3'}"
        bring_up_to_date(url)
        found = differences(url)
    for difference in found:
        sys.stderr.write(f"migrations and tables differ: {difference}\n")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
