"""What published revisions say of each part, for look-up by number.

The rows are made from the published documents, here and at every publishing; the
way down loses nothing, for the way up makes them again.

Revision ID: 0002
"""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Iterator

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

TEXT = sa.Text().with_variant(postgresql.TEXT(collation="C"), "postgresql")
COLUMNS = (
    "family",
    "identity",
    "search_key",
    "number",
    "name",
    "name_key",
    "kind",
    "data",
)


def upgrade() -> None:
    """Make the table and fill it from the published revisions."""
    parts = op.create_table(
        "published_parts",
        *(sa.Column(name, TEXT, nullable=False) for name in COLUMNS),
        sa.ForeignKeyConstraint(
            ["family"], ["families.code"], name="fk_published_parts_family_families"
        ),
        sa.PrimaryKeyConstraint("family", "identity", name="pk_published_parts"),
        sqlite_strict=True,
    )
    op.create_index("ix_published_parts_identity", "published_parts", ["identity"])
    op.create_index("ix_published_parts_search_key", "published_parts", ["search_key"])
    bind = op.get_bind()
    published = bind.execute(
        sa.text("SELECT family, document FROM revisions WHERE state = 'published'")
    ).fetchall()
    for family, document in published:
        rows = list(_rows(family, bytes(document)))
        if rows:
            bind.execute(sa.insert(parts), rows)


def downgrade() -> None:
    """Drop the table; its rows are derived."""
    op.drop_table("published_parts")


def _rows(family: str, document: bytes) -> Iterator[dict[str, str]]:
    # Numbers are kept as the document writes them.
    tree = json.loads(document, parse_float=_Written, parse_int=_Written)
    for part in tree.get("parts", ()):
        identity = _identity(part["number"])
        yield {
            "family": family,
            "identity": identity,
            "search_key": _search_key(identity),
            "number": part["number"],
            "name": part["name"],
            "name_key": _name_key(part["name"]),
            "kind": part.get("kind", "component"),
            "data": _text(part),
        }


class _Written(str):
    """A number as written; `_text` prints it without quotes."""

    __slots__ = ()


def _text(value: object) -> str:
    if isinstance(value, _Written):
        return str(value)
    if isinstance(value, dict):
        inner = ",".join(f"{_text(str(k))}:{_text(v)}" for k, v in value.items())
        return "{" + inner + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(_text, value)) + "]"
    return json.dumps(value, ensure_ascii=False)


def _identity(number: str) -> str:
    done = _folded(number)
    while (again := _folded(done)) != done:
        done = again
    return done


def _folded(text: str) -> str:
    upper = unicodedata.normalize("NFKC", text).upper()
    return " ".join(unicodedata.normalize("NFKC", upper).split())


def _search_key(identity: str) -> str:
    return "".join(
        char
        for char in identity
        if char not in " ./\\\u2044" and unicodedata.category(char) != "Pd"
    )


def _name_key(name: str) -> str:
    return unicodedata.normalize("NFKC", name).casefold()
