"""Reading a request: who asks, what body, what query; everything checked."""

from __future__ import annotations

import re
from functools import lru_cache

from flask import Request
from werkzeug.exceptions import UnsupportedMediaType

from bomsvc.api.fields import load
from bomsvc.api.operation import JSON, Operation
from bomsvc.core.terms.json_text import read_json
from bomsvc.core.terms.problems import BadInput, Problem, TooLarge

DOCUMENT_MEDIA = {
    JSON: "json",
    "application/yaml": "yaml",
    "application/x-yaml": "yaml",
    "text/yaml": "yaml",
    "text/x-yaml": "yaml",
}
"""Media types of a catalogue document. RFC 9512 registers application/yaml."""
SHORT_BODY = 4_096
BODIES_KEPT = 1_024
_KEY = re.compile(r'"?([\x21\x23-\x7e]{1,255})"?\Z')
_BEARER = re.compile(r"Bearer +([A-Za-z0-9._~+/=-]{1,200})\Z", re.IGNORECASE)


def bearer_of(request: Request) -> str | None:
    """Return the secret of the Authorization header, None where there is none."""
    match = _BEARER.match(request.headers.get("Authorization", ""))
    return None if match is None else match[1]


def idempotency_key(request: Request) -> str | None:
    """Return the Idempotency-Key, None where the header is absent.

    Raises:
        BadInput: It is no key.
    """
    text = request.headers.get("Idempotency-Key")
    if text is None:
        return None
    match = _KEY.match(text.strip())
    if match is None:
        detail = "An Idempotency-Key is 1 to 255 printable characters without blanks."
        remedy = "A UUID serves well."
        raise BadInput([Problem("/header/Idempotency-Key", detail, remedy=remedy)])
    return match[1]


def read_body(request: Request, operation: Operation, limit: int) -> bytes:
    """Return the body's bytes.

    Raises:
        TooLarge: It is over `limit`; nothing was read where the length says so.
    """
    length = request.content_length
    if length is not None and length > limit:
        raise _too_large(limit)
    request.max_content_length = limit + 1
    data = request.get_data(cache=False)
    if len(data) > limit:
        raise _too_large(limit)
    if operation.body == "none" and data:
        detail = "This operation takes no body."
        raise BadInput([Problem("", detail, "unexpected_body", remedy="Send none.")])
    return data


def _too_large(limit: int) -> TooLarge:
    detail = f"The body is larger than the limit of {limit} bytes."
    return TooLarge([Problem("", detail, "too_large")])


def body_media(request: Request, operation: Operation, data: bytes) -> str:
    """Return the media type of the body as one of those taken.

    Raises:
        UnsupportedMediaType: It is none of them.
    """
    said = request.mimetype
    if operation.body == "document" and said in DOCUMENT_MEDIA:
        return DOCUMENT_MEDIA[said]
    if operation.body == "json" and (said == JSON or not data):
        return JSON
    if operation.body == "none":
        return ""
    taken = ", ".join(DOCUMENT_MEDIA) if operation.body == "document" else JSON
    raise UnsupportedMediaType(
        f"The body is '{said or 'of no stated type'}'; this operation takes {taken}."
    )


def checked_body(operation: Operation, data: bytes) -> object:
    """Return the body as its operation's handler gets it; handlers only read it.

    Raises:
        BadInput: Not JSON, or fields that are missing, unknown or wrong.
    """
    if operation.body != "json":
        return data
    if not operation.writes and len(data) <= SHORT_BODY:
        return _asked_before(operation, data)
    return _checked(operation, data)


@lru_cache(maxsize=BODIES_KEPT)
def _asked_before(operation: Operation, data: bytes) -> object:
    # The same questions come again and again at a counter.
    return _checked(operation, data)


def _checked(operation: Operation, data: bytes) -> object:
    tree: object = {} if operation.body_optional and not data else read_json(data)
    if operation.schema is None:
        return tree
    return load(operation.schema, tree)


def checked_query(request: Request, operation: Operation) -> dict[str, object]:
    """Return the query's fields; unknown and repeated ones are refused.

    Raises:
        BadInput: Every parameter that is unknown, repeated or wrong.
    """
    given = request.args
    repeated = [name for name in given if len(given.getlist(name)) > 1]
    if repeated:
        detail = "This parameter is given twice."
        raise BadInput([Problem(f"/query/{n}", detail, "repeated") for n in repeated])
    if operation.query is None:
        unknown = [
            Problem(f"/query/{name}", f"There is no parameter {name!r}.", "unknown")
            for name in given
        ]
        if unknown:
            raise BadInput(unknown)
        return {}
    return load(operation.query, dict(given), root="/query")
