"""Words, numbers and signs of the condition language."""

from __future__ import annotations

import re
from typing import NamedTuple

from bomsvc.core.catalogue.conditions.vocabulary import ConditionError

MAX_BYTES = 4096
"""Longest condition, in bytes of UTF-8 (the document format)."""

_TOKEN = re.compile(
    r"\s*(?:(?P<word>[A-Za-z_][A-Za-z0-9_]*)|(?P<number>[0-9]+)"
    r"|(?P<sign><=|>=|!=|[=<>()\[\],])|(?P<end>\Z)|(?P<other>.))",
    re.DOTALL,
)


class Token(NamedTuple):
    """One token: its kind (word, number, sign, end), its text, and where it is."""

    kind: str
    text: str
    start: int
    end: int


def tokens(text: str) -> list[Token]:
    """Return the tokens of a condition; the last one is of kind `end`.

    Raises:
        ConditionError: Too long, or a character that no condition has.
    """
    size = len(text.encode())
    if size > MAX_BYTES:
        raise ConditionError(
            f"the condition has {size:,} bytes; at most {MAX_BYTES:,} are read",
            0,
            1,
            text=text,
        )
    found = []
    for match in _TOKEN.finditer(text):
        kind = match.lastgroup
        assert kind is not None, "every alternative of the pattern is named"
        if kind == "other":
            raise _stray(text, match.start(kind))
        found.append(Token(kind, match[kind], match.start(kind), match.end(kind)))
        if kind == "end":
            break
    return found


_OTHER_LANGUAGES = {
    "&": "and",
    "|": "or",
    "!": "not",
    "~": "not",
    "≠": "!=",
    "≤": "<=",
    "≥": ">=",
}


def _stray(text: str, start: int) -> ConditionError:
    sign = text[start]
    remedy = _OTHER_LANGUAGES.get(sign)
    shown = sign if sign.isprintable() else f"U+{ord(sign):04X}"
    advice = f"; write {remedy}" if remedy else ""
    return ConditionError(
        f"{shown} has no meaning in a condition{advice}",
        start,
        start + 1,
        text=text,
        remedy=remedy,
    )
