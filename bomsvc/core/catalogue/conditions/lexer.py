"""Words, numbers and signs of the condition language."""

from __future__ import annotations

import re

from bomsvc.core.catalogue.conditions.vocabulary import ConditionError

MAX_BYTES = 4096
"""Longest condition, in bytes of UTF-8 (the document format)."""
END = ""
"""The token after the last one."""

_TOKEN = re.compile(r"[A-Za-z_][A-Za-z0-9_]*|[0-9]+|<=|>=|!=|[=<>()\[\],]")
_STRAY = re.compile(r"[^\sA-Za-z0-9_=<>()\[\],!]|!(?!=)")
_OTHER_LANGUAGES = {
    "&": "and",
    "|": "or",
    "!": "not",
    "~": "not",
    "≠": "!=",
    "≤": "<=",
    "≥": ">=",
}


def tokens(text: str) -> list[str]:
    """Return the tokens of a condition, with `END` after the last.

    Where they stand is worked out only when an error needs it: `span`.

    Raises:
        ConditionError: Too long, or a character that no condition has.
    """
    size = len(text) if text.isascii() else len(text.encode(errors="replace"))
    if size > MAX_BYTES:
        says = f"the condition has {size:,} bytes; at most {MAX_BYTES:,} are read"
        raise ConditionError(says, 0, 1, text=text)
    stray = _STRAY.search(text)
    if stray is not None:
        raise _stray(text, stray.start())
    found = _TOKEN.findall(text)
    found.append(END)
    return found


def span(text: str, index: int) -> tuple[int, int]:
    """Return where the token with this index begins and ends."""
    for number, match in enumerate(_TOKEN.finditer(text)):
        if number == index:
            return match.span()
    return len(text), len(text) + 1


def is_word(token: str) -> bool:
    """Tell whether a token is a word: an option, a choice, or part of the language."""
    return token[:1].isalpha() or token[:1] == "_"


def is_number(token: str) -> bool:
    """Tell whether a token is a number."""
    return token.isdigit()


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
