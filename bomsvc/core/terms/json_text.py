"""The strict JSON reader: RFC 8259 without its loopholes, numbers as written.

No duplicate keys, no NaN or Infinity, no half surrogates, UTF-8 only; nesting and
size are limited. The standard library's parser does the reading; where something
is wrong a second, slower pass finds the line and column of every offence.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import NoReturn

from bomsvc.core.terms.json_places import (
    Lines,
    Spot,
    deeper_than,
    spots,
    token_at,
)
from bomsvc.core.terms.numbers import Number, Tree
from bomsvc.core.terms.pointers import join
from bomsvc.core.terms.problems import BadInput, Problem, TooLarge, first_told

MAX_BYTES = 64 * 2**20
MAX_DEPTH = 64
MAX_VALUES = 4_000_000
"""Most values in one text: what they take of memory stays below 512 MiB."""
_HALF_ESCAPE = re.compile(r"\\u[dD][89abcdefABCDEF]")
_HALF = re.compile("[\ud800-\udfff]")
_FIGURE = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][-+]?[0-9]+)?\Z")
_INDENT = "  "
_ROW_WIDTH = 88


class _NotFiniteError(ValueError):
    """NaN or an infinity stands where a number is due."""


def read_json(
    text: str | bytes, *, max_depth: int = MAX_DEPTH, max_bytes: int = MAX_BYTES
) -> Tree:
    """Return the tree of one JSON text, numbers as `Number`.

    Args:
        text: The text, or its bytes in UTF-8; a byte order mark is passed over.
        max_depth: Deepest nesting of objects and arrays that is read.
        max_bytes: Longest text that is read, in bytes of UTF-8.

    Raises:
        TooLarge: The text is over `max_bytes`, has more than `MAX_VALUES`, or nests
            deeper than `max_depth`.
        BadInput: Not JSON, not UTF-8, or with duplicate keys; line and column given.
    """
    source = decoded(text, max_bytes=max_bytes)
    _check_values(source)
    duplicated: list[str] = []
    try:
        tree = _parse(source, duplicated)
    except RecursionError:
        _refuse_depth(source, max_depth)
    except _NotFiniteError as refusal:
        raise BadInput([_not_finite(source, str(refusal))]) from None
    except json.JSONDecodeError as error:
        raise BadInput([_not_json(error)]) from None
    if _is_deeper(tree, max_depth):
        _refuse_depth(source, max_depth)
    problems = first_told(_offences(source, tree, duplicated))
    if problems:
        raise BadInput(problems)
    return tree


def decoded(text: str | bytes, *, max_bytes: int) -> str:
    """Return UTF-8 text without a byte order mark.

    Raises:
        TooLarge: More than `max_bytes`.
        BadInput: Bytes that are not UTF-8, or text that UTF-8 cannot hold.
    """
    try:
        octets = text.encode() if isinstance(text, str) else text
    except UnicodeEncodeError as error:
        raise BadInput([_not_utf8(str(text), error.start)]) from None
    if len(octets) > max_bytes:
        raise TooLarge([_too_many_bytes(len(octets), max_bytes)])
    if isinstance(text, str):
        return text.removeprefix("\ufeff")
    try:
        return octets.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        sound = octets[: error.start].decode("utf-8", errors="replace")
        raise BadInput([_not_utf8(sound, len(sound))]) from None


def write_json(tree: Tree) -> str:
    """Return `tree` as JSON for people: two blanks of indent, short rows on one line.

    Reading it gives the same tree; numbers are written as they were, except where
    JSON has no such form.
    """
    return _written(tree, "") + "\n"


def too_many_values() -> Problem:
    """The problem of a text with more than `MAX_VALUES`."""
    says = f"the text has more than {MAX_VALUES:,} values; no more are read"
    return Problem("", says, "too_many_values")


def _check_values(source: str) -> None:
    # Commas and brackets inside texts count as well: the limit is far from what a
    # document of that size has.
    if sum(source.count(sign) for sign in ",[{") > MAX_VALUES:
        raise TooLarge([too_many_values()])


def _parse(source: str, duplicated: list[str]) -> Tree:
    def pairs(items: list[tuple[str, Tree]]) -> dict[str, Tree]:
        members = dict(items)
        if len(members) != len(items):
            duplicated.append("")
        return members

    def constant(word: str) -> NoReturn:
        raise _NotFiniteError(word)

    tree: Tree = json.loads(
        source,
        object_pairs_hook=pairs,
        parse_int=Number,
        parse_float=Number,
        parse_constant=constant,
    )
    return tree


def _offences(source: str, tree: Tree, duplicated: list[str]) -> Iterator[Problem]:
    if duplicated:
        yield from _duplicates(source)
    if _HALF_ESCAPE.search(source):
        yield from _half_characters(source)


def _duplicates(source: str) -> Iterator[Problem]:
    lines = Lines(source)
    for spot in spots(source):
        if spot.repeated:
            name = spot.path[-1]
            yield _at(
                lines,
                spot,
                "duplicate_key",
                f"the key {json.dumps(name, ensure_ascii=False)} stands twice in one "
                "object; keep one of them",
            )


def _half_characters(source: str) -> Iterator[Problem]:
    lines = Lines(source)
    for spot in spots(source):
        if _HALF.search(spot.text or "") or _HALF.search("".join(map(str, spot.path))):
            yield _at(
                lines,
                spot,
                "half_character",
                "half of a character (a lone surrogate) stands here; write the "
                "character itself",
            )


def _at(lines: Lines, spot: Spot, code: str, detail: str) -> Problem:
    line, column = lines.place(spot.offset)
    pointer = _HALF.sub("\ufffd", join("", *spot.path))
    return Problem(pointer, detail, code, line, column)


def _not_finite(source: str, word: str) -> Problem:
    line, column = Lines(source).place(token_at(source, word))
    detail = f"{word} is not a number that JSON has; write a figure, or leave it out"
    return Problem("", detail, "not_finite", line, column)


def _not_json(error: json.JSONDecodeError) -> Problem:
    said = error.msg[:1].lower() + error.msg[1:]
    detail = f"this is not JSON: {said}"
    return Problem("", detail, "not_json", error.lineno, error.colno)


def _not_utf8(sound: str, offset: int) -> Problem:
    line, column = Lines(sound).place(offset)
    detail = "this is not UTF-8 text; save it as UTF-8"
    return Problem("", detail, "not_utf8", line, column)


def _too_many_bytes(size: int, limit: int) -> Problem:
    detail = f"the text has {size:,} bytes; at most {limit:,} are read"
    return Problem("", detail, "too_many_bytes")


def _refuse_depth(source: str, max_depth: int) -> NoReturn:
    line, column = Lines(source).place(deeper_than(source, max_depth))
    detail = f"the nesting is deeper than {max_depth}; nothing below that is read"
    raise TooLarge([Problem("", detail, "too_deep", line, column)])


def _is_deeper(tree: Tree, max_depth: int) -> bool:
    """Tell whether containers nest deeper than `max_depth`; level by level."""
    level: list[Tree] = [tree]
    for _ in range(max_depth):
        level = [value for holder in level for value in _held(holder)]
        if not level:
            return False
    return True


def _held(holder: Tree) -> list[Tree]:
    """The containers directly inside a container; none inside anything else."""
    if isinstance(holder, dict):
        return [value for value in holder.values() if isinstance(value, dict | list)]
    if isinstance(holder, list):
        return [value for value in holder if isinstance(value, dict | list)]
    return []


def _written(value: Tree, indent: str) -> str:
    if isinstance(value, Number):
        return _figure(value)
    if not isinstance(value, dict | list) or not value:
        return json.dumps(value, ensure_ascii=False)
    row = _row(value)
    if row is not None and len(indent) + len(row) <= _ROW_WIDTH:
        return row
    deeper = indent + _INDENT
    return _block(value, indent, deeper)


def _figure(number: Number) -> str:
    # YAML has forms of numbers that JSON lacks (`007`, `+.5`, `0x1F`): those are
    # written by value.
    return number.text if _FIGURE.match(number.text) else str(number.decimal)


def _block(value: dict[str, Tree] | list[Tree], indent: str, deeper: str) -> str:
    if isinstance(value, dict):
        rows = [
            f"{deeper}{json.dumps(key, ensure_ascii=False)}: {_written(item, deeper)}"
            for key, item in value.items()
        ]
        return "{\n" + ",\n".join(rows) + f"\n{indent}}}"
    rows = [deeper + _written(item, deeper) for item in value]
    return "[\n" + ",\n".join(rows) + f"\n{indent}]"


def _row(value: dict[str, Tree] | list[Tree]) -> str | None:
    """The container on one line, where it holds only scalars."""
    items = value.values() if isinstance(value, dict) else value
    if any(isinstance(item, dict | list) and item for item in items):
        return None
    if isinstance(value, dict):
        members = (
            f"{json.dumps(key, ensure_ascii=False)}: {_written(item, '')}"
            for key, item in value.items()
        )
        return "{" + ", ".join(members) + "}"
    return "[" + ", ".join(_written(item, "") for item in value) + "]"
