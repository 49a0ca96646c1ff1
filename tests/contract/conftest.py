from tests.contract.demo import counter, demo
from tests.contract.faces import any_face, face, ready
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
    "any_face",
    "counter",
    "database_url",
    "demo",
    "empty_url",
    "face",
    "fast_folder",
    "migrated_postgresql",
    "migrated_sqlite",
    "postgresql_server",
    "ready",
    "sqlite_url",
]
