"""Cursor pagination: keyset pages, an opaque cursor, RFC 8288 Link."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Callable, Sequence
from typing import TypeVar, cast
from urllib.parse import parse_qsl, urlencode, urlsplit

import orjson

from bomsvc.api.fields import Body, Text, Whole
from bomsvc.api.operation import Call, Reply
from bomsvc.core.terms.problems import BadInput, Problem

USUAL_LIMIT = 50
MOST = 200
BEYOND_EVERY_NUMBER = 2**62

Item = TypeVar("Item")
T = TypeVar("T")
Key = str | int | Sequence[str]


class Page(Body):
    """Query of every list."""

    limit = Whole(least=1, most=MOST, from_text=True, load_default=USUAL_LIMIT)
    cursor = Text(longest=500, load_default=None)


def page_of(
    call: Call,
    found: Sequence[Item],
    *,
    key: Callable[[Item], Key],
    shape: Callable[[Item], object],
    more: bool,
) -> Reply:
    """Return one page of a list.

    Args:
        call: The request.
        found: The items of the page, in order.
        key: An item's place in the order, for the cursor.
        shape: An item as the reply shows it.
        more: Whether items follow.
    """
    cursor = encode_cursor(key(found[-1])) if more and found else None
    body = {"items": [shape(item) for item in found], "next": cursor}
    headers = () if cursor is None else (("Link", _link(call.url, cursor)),)
    return Reply(body=body, headers=headers)


def encode_cursor(key: Key) -> str:
    """Return a place in an order as opaque text."""
    return base64.urlsafe_b64encode(orjson.dumps(key)).decode().rstrip("=")


def number_cursor(call: Call, *, start: int) -> int:
    """Return the whole number of the cursor, or `start` without one."""

    def is_number(value: object) -> bool:
        return isinstance(value, int) and 0 <= value <= BEYOND_EVERY_NUMBER

    return _read(call, start, is_number)


def text_cursor(call: Call) -> str:
    """Return the text of the cursor, or "" without one."""
    return _read(call, "", lambda value: isinstance(value, str))


def pair_cursor(call: Call) -> tuple[str, str]:
    """Return the two texts of the cursor, or empty ones without one."""

    def is_pair(value: object) -> bool:
        return isinstance(value, list) and [type(v) for v in value] == [str, str]

    first, second = _read(call, ["", ""], is_pair)
    return first, second


def _read(call: Call, start: T, fits: Callable[[object], bool]) -> T:
    text = call.query.get("cursor")
    if text is None:
        return start
    try:
        padded = text + "=" * (-len(text) % 4)
        value = orjson.loads(base64.b64decode(padded, altchars=b"-_", validate=True))
    except (binascii.Error, ValueError):
        value = None
    # A truth value is a whole number to Python.
    if not fits(value) or isinstance(value, bool) or "\0" in str(value):
        detail = "This cursor is not one of this list."
        remedy = "Follow the Link of the page before, or leave the cursor out."
        raise BadInput([Problem("/query/cursor", detail, remedy=remedy)])
    return cast("T", value)


def _link(url: str, cursor: str) -> str:
    parts = urlsplit(url)
    query = [(k, v) for k, v in parse_qsl(parts.query) if k != "cursor"]
    query.append(("cursor", cursor))
    return f'<{parts.path}?{urlencode(query)}>; rel="next"'
