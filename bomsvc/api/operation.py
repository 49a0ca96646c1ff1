"""What a route declares, what it is called with, and what it answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from marshmallow import Schema

from bomsvc.service.desk import Acting, Desk, Expected
from bomsvc.service.permissions import Permission
from bomsvc.service.ports import UnitOfWork

JSON = "application/json"
Bodies = Literal["none", "json", "document"]


@dataclass(frozen=True, slots=True)
class Reply:
    """An answer.

    Attributes:
        status: HTTP status.
        body: A tree to encode, ready bytes, or None for nothing.
        media: Media type of the body.
        headers: Further headers.
        tag: Strong version tag, without quotes; None: the body's hash on GET.
        kept_body: What an idempotency record keeps instead of the body, where that
            holds a secret shown once.
        filename: Offered as a download under this name.
        forget_tokens: A token was revoked; recognised ones are looked up anew.
    """

    status: int = 200
    body: object = None
    media: str = JSON
    headers: tuple[tuple[str, str], ...] = ()
    tag: str | None = None
    kept_body: object = None
    filename: str | None = None
    forget_tokens: bool = False


@dataclass(frozen=True, slots=True)
class Call:
    """A checked request, as a handler gets it.

    Attributes:
        desk: The service's ports.
        acting: Who acts.
        path: Values of the path.
        query: Checked query parameters.
        body: The checked body: fields for "json", bytes for "document".
        raw: The body as it was sent.
        media: Media type of the body.
        suffix: The suffix of the path, as ".yaml"; None where there is none.
        accepts: Returns the best of the offered media types, None for none.
        expected: Versions of If-Match; None where the header is absent.
        url: This request's path and query, for links.
        uow: The unit of work of an operation that writes.
    """

    desk: Desk
    acting: Acting
    path: Mapping[str, Any]
    query: Mapping[str, Any] = field(default_factory=dict)
    body: Any = None
    raw: bytes = b""
    media: str = ""
    suffix: str | None = None
    accepts: Callable[[tuple[str, ...]], str | None] = lambda offered: offered[0]
    expected: Expected | None = None
    url: str = ""
    uow: UnitOfWork | None = None

    @property
    def unit(self) -> UnitOfWork:
        """The unit of work of an operation that writes."""
        assert self.uow is not None, "an operation that reads has no write unit"
        return self.uow


@dataclass(frozen=True, slots=True, eq=False)
class Operation:
    """One route. There is no default permission, so none can be forgotten.

    Attributes:
        operation_id: Verb and noun.
        method: HTTP method.
        path: Below /api/v1, in Werkzeug's form.
        permission: What the caller must hold.
        summary: One line for the documentation.
        handle: Does it.
        replies: Statuses of good answers, then those of its own refusals.
        body: What kind of body is taken.
        schema: Fields of a JSON body, or None for a handler that reads the tree.
        body_optional: An empty body means an empty object.
        query: Fields of the query.
        writes: Runs in one unit of work, committed with the reply.
        needs_version: If-Match is required.
        suffixes: Path suffixes that choose a format.
        media: Media types that a good answer may have beside JSON.
        example: An example body for the documentation.
    """

    operation_id: str
    method: str
    path: str
    permission: Permission
    summary: str
    handle: Callable[[Call], Reply]
    replies: tuple[int, ...] = (200,)
    body: Bodies = "none"
    schema: type[Schema] | None = None
    body_optional: bool = False
    query: type[Schema] | None = None
    writes: bool = False
    needs_version: bool = False
    suffixes: tuple[str, ...] = ()
    media: tuple[str, ...] = ()
    example: object = None

    @property
    def idempotent_key(self) -> bool:
        """An Idempotency-Key is honoured: every POST that makes or moves something."""
        return self.writes and self.method == "POST"
