"""Where things stand in a JSON text: the slow pass that names line and column.

Used only when something is wrong, so it favours plainness over speed. It walks the
tokens with an explicit stack and so cannot run out of call depth.
"""

from __future__ import annotations

import json
import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass

_TOKEN = re.compile(r'"[^"\\]*(?:\\.[^"\\]*)*"|[\[\]{},:]|[^\s\[\]{},:"]+', re.DOTALL)


@dataclass(frozen=True, slots=True)
class Spot:
    """A value, or a key that stands for the second time.

    Attributes:
        path: Names and indexes from the outermost to the value's own.
        offset: Characters before the value (of a repeated key: before the key).
        repeated: The key stood in its object before.
        text: The value where it is a text, else None.
    """

    path: tuple[str | int, ...]
    offset: int
    repeated: bool = False
    text: str | None = None


@dataclass(slots=True)
class _Holder:
    """An open object (`keys` seen so far) or array (`keys` is None)."""

    keys: set[str] | None
    name: str | int = 0
    wants_key: bool = True


def spots(source: str) -> Iterator[Spot]:
    """Yield every value of a valid JSON text in order, and every repeated key."""
    open_holders: list[_Holder] = []
    for match in _TOKEN.finditer(source):
        sign, offset = match[0], match.start()
        holder = open_holders[-1] if open_holders else None
        if sign in "]}":
            open_holders.pop()
        elif sign == ",":
            _step(open_holders[-1])
        elif sign == ":":
            continue
        elif holder and holder.keys is not None and holder.wants_key:
            yield from _key(holder, sign, offset, open_holders)
        else:
            path = tuple(each.name for each in open_holders)
            text = _text(sign) if sign.startswith('"') else None
            yield Spot(path, offset, text=text)
            if sign in "[{":
                open_holders.append(_Holder(set() if sign == "{" else None))


def _step(holder: _Holder) -> None:
    """A comma: an object's next key is due, or an array's next value."""
    if holder.keys is not None:
        holder.wants_key = True
    else:
        assert isinstance(holder.name, int), "an array's values are numbered"
        holder.name += 1


def _key(
    holder: _Holder, sign: str, offset: int, open_holders: list[_Holder]
) -> Iterator[Spot]:
    assert holder.keys is not None, "only objects have keys"
    name = _text(sign)
    holder.name, holder.wants_key = name, False
    if name in holder.keys:
        yield Spot(tuple(each.name for each in open_holders), offset, repeated=True)
    holder.keys.add(name)


def _text(sign: str) -> str:
    text: str = json.loads(sign) if "\\" in sign else sign[1:-1]
    return text


def deeper_than(source: str, max_depth: int) -> int:
    """Return the offset of the first bracket that opens level `max_depth` + 1."""
    depth = 0
    for match in _TOKEN.finditer(source):
        if match[0] in "[{":
            depth += 1
            if depth > max_depth:
                return match.start()
        elif match[0] in "]}":
            depth -= 1
    return len(source)


def token_at(source: str, word: str) -> int:
    """Return the offset of the first bare `word` (not inside a text)."""
    for match in _TOKEN.finditer(source):
        if match[0] == word:
            return match.start()
    return 0


class Lines:
    """The lines of a text, counted once for many places."""

    def __init__(self, source: str) -> None:
        self.starts = [0]
        self.starts.extend(match.end() for match in re.finditer("\n", source))

    def place(self, offset: int) -> tuple[int, int]:
        """Return line and column of an offset, both from 1."""
        line = bisect_right(self.starts, offset)
        return line, offset - self.starts[line - 1] + 1


def locate_json(
    source: str, wanted: frozenset[tuple[str, ...]]
) -> dict[tuple[str, ...], tuple[int, int]]:
    """Return line and column of the values at the paths wanted, where they stand."""
    found: dict[tuple[str, ...], tuple[int, int]] = {}
    lines = Lines(source)
    for spot in spots(source):
        path = tuple(map(str, spot.path))
        if path in wanted and not spot.repeated:
            found.setdefault(path, lines.place(spot.offset))
    return found
