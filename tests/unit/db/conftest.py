from tests.databases import (
    database_url,
    empty_url,
    fast_folder,
    migrated_postgresql,
    migrated_sqlite,
    postgresql_server,
    sqlite_url,
)

__all__ = [
    "database_url",
    "empty_url",
    "fast_folder",
    "migrated_postgresql",
    "migrated_sqlite",
    "postgresql_server",
    "sqlite_url",
]
