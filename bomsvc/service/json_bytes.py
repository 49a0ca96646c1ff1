"""JSON out: bytes of plain trees, decimals and numbers exactly as they are.

A `Decimal` or `Number` becomes a JSON number of its own digits, never a binary
approximation. Keys keep their order.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

import orjson

from bomsvc.core.terms.numbers import Number, decimal_text

# A `Number` is a dataclass, which orjson would otherwise write as an object.
_OPTIONS = orjson.OPT_NON_STR_KEYS | orjson.OPT_PASSTHROUGH_DATACLASS


def encode_json(value: object) -> bytes:
    """Return `value` as UTF-8 JSON without blanks, keys in their order."""
    return orjson.dumps(value, default=_exact, option=_OPTIONS)


def encode_text(value: object) -> str:
    """Return `value` as JSON text."""
    return encode_json(value).decode()


def decode_stored(text: str | bytes) -> object:
    """Read JSON that this program wrote; not for input from outside."""
    value: object = orjson.loads(text)
    return value


def _exact(value: object) -> object:
    if isinstance(value, Decimal):
        return orjson.Fragment(decimal_text(value).encode())
    if isinstance(value, Number):
        return orjson.Fragment(value.text.encode())
    if isinstance(value, Mapping):
        return dict(value)
    if isinstance(value, frozenset | set):
        return sorted(value)
    raise TypeError(f"no JSON form for {type(value).__name__}")
