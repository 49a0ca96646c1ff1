"""Column types that mean the same on SQLite and PostgreSQL.

Text compares by code point on both ("C" collation), so every listing has the same
order on both. There is no `Numeric`: SQLite would keep it as binary floating
point. Times are RFC 3339 text of one fixed width, which sorts as time does.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, Integer, LargeBinary, Text
from sqlalchemy.dialects import postgresql

TEXT = Text().with_variant(postgresql.TEXT(collation="C"), "postgresql")
WHOLE = BigInteger().with_variant(Integer(), "sqlite")
BYTES = LargeBinary()

NAMING_CONVENTION = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}
"""Every constraint has a name from revision 1, so later migrations can drop it."""
