"""The condition language, read by plain recursive descent."""

from __future__ import annotations

import re
from typing import Any

Condition = tuple[Any, ...]

_TOKEN = re.compile(r"\s*(<=|>=|!=|[<>=(),\[\]]|[A-Za-z_][A-Za-z0-9_]*|[0-9]+)")


def tokens_of(text: str) -> list[str]:
    """Split a condition's text into words, numbers and signs."""
    found, at = [], 0
    text = text.rstrip()
    while at < len(text):
        match = _TOKEN.match(text, at)
        assert match, f"cannot read {text[at:]!r}"
        found.append(match.group(1))
        at = match.end()
    return found


class _Reader:
    """Recursive descent over the tokens of one condition."""

    def __init__(self, text: str) -> None:
        self.tokens = [*tokens_of(text), ""]
        self.at = 0

    def take(self, expected: str | None = None) -> str:
        token = self.tokens[self.at]
        assert expected in (None, token), f"expected {expected}, found {token}"
        self.at += 1
        return token

    def peek(self) -> str:
        return self.tokens[self.at]

    def either(self) -> Condition:
        parts = [self.both()]
        while self.peek() == "or":
            self.take()
            parts.append(self.both())
        return parts[0] if len(parts) == 1 else ("or", parts)

    def both(self) -> Condition:
        parts = [self.denied()]
        while self.peek() == "and":
            self.take()
            parts.append(self.denied())
        return parts[0] if len(parts) == 1 else ("and", parts)

    def denied(self) -> Condition:
        if self.peek() == "not":
            self.take()
            return ("not", self.denied())
        if self.peek() == "(":
            self.take()
            inner = self.either()
            self.take(")")
            return inner
        if self.peek() in ("always", "never"):
            return (self.take(),)
        return self.statement()

    def statement(self) -> Condition:
        name, index = self.take(), None
        if self.peek() == "[":
            self.take()
            index = self.take()
            self.take("]")
        sign = self.take()
        if sign == "in":
            self.take("(")
            words = [self.take()]
            while self.peek() == ",":
                self.take()
                words.append(self.take())
            self.take(")")
            return ("is", name, index, "in", words)
        return ("is", name, index, sign, [self.take()])


def parse_condition(text: str) -> Condition:
    """The condition as nested tuples."""
    reader = _Reader(text)
    condition = reader.either()
    assert reader.peek() == "", f"left over: {reader.peek()}"
    return condition
