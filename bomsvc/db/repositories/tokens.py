"""Access tokens: only the hash of a secret is ever here."""

# The docstrings of the methods are those of the ports they implement.
# ruff: noqa: D102

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import ColumnElement, Row, insert, select, update
from sqlalchemy.engine import Connection

from bomsvc.db.tables import tokens
from bomsvc.service.json_bytes import decode_stored, encode_text
from bomsvc.service.records import TokenRecord

FIELDS = (
    "id",
    "name",
    "roles",
    "scope",
    "branch",
    "created_at",
    "created_by",
    "expires_at",
    "revoked_at",
    "revoked_by",
)
_COLUMNS = tuple(tokens.c[name] for name in FIELDS)


class SqlTokens:
    """Implements the service's `Tokens` port."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, token: TokenRecord, secret_sha256: str) -> TokenRecord:
        values = {name: getattr(token, name) for name in FIELDS if name != "id"}
        values["roles"] = encode_text(token.roles)
        values["scope"] = None if token.scope is None else encode_text(token.scope)
        values["secret_sha256"] = secret_sha256
        statement = insert(tokens).values(values).returning(tokens.c.id)
        made = self._connection.execute(statement).scalar_one()
        return replace(token, id=int(made))

    def by_secret(self, secret_sha256: str) -> TokenRecord | None:
        return self._first(tokens.c.secret_sha256 == secret_sha256)

    def get(self, token_id: int) -> TokenRecord | None:
        return self._first(tokens.c.id == token_id)

    def listed(self, *, after: int, limit: int) -> Sequence[TokenRecord]:
        query = (
            select(*_COLUMNS)
            .where(tokens.c.id > after)
            .order_by(tokens.c.id)
            .limit(limit)
        )
        return [_token(row) for row in self._connection.execute(query)]

    def revoke(self, token_id: int, *, at: str, who: str) -> None:
        self._connection.execute(
            update(tokens)
            .where(tokens.c.id == token_id, tokens.c.revoked_at.is_(None))
            .values(revoked_at=at, revoked_by=who)
        )

    def _first(self, condition: ColumnElement[bool]) -> TokenRecord | None:
        row = self._connection.execute(select(*_COLUMNS).where(condition)).first()
        return None if row is None else _token(row)


def _token(row: Row[Any]) -> TokenRecord:
    values = dict(zip(FIELDS, row, strict=True))
    values["roles"] = _words(values["roles"])
    values["scope"] = None if values["scope"] is None else _words(values["scope"])
    return TokenRecord(**values)


def _words(text: str) -> tuple[str, ...]:
    stored: Any = decode_stored(text)
    return tuple(stored)
