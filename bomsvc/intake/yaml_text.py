"""The strict YAML reader and the writer: YAML 1.2 core schema, numbers as written.

PyYAML's C parser gives the events; what a plain scalar means is decided here by the
core schema of YAML 1.2.2, chapter 10.3, because PyYAML's own resolver follows
YAML 1.1, where `no` is a truth value and `1:30` is ninety.

Not taken: anchors, aliases, tags, merge keys, duplicate keys, several documents.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, NoReturn

import yaml

from bomsvc.core.terms.json_text import (
    MAX_BYTES,
    MAX_DEPTH,
    MAX_VALUES,
    decoded,
    too_many_values,
)
from bomsvc.core.terms.numbers import Number, Tree
from bomsvc.core.terms.pointers import join
from bomsvc.core.terms.problems import (
    MOST_TOLD,
    BadInput,
    Problem,
    TooLarge,
    first_told,
)

_NUMBER = re.compile(
    r"(?:[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+"
    r"|[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?)\Z"
)
_NOT_FINITE = re.compile(r"(?:[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN))\Z")
_WORDS: dict[str, bool | None] = {
    "": None, "~": None, "null": None, "Null": None, "NULL": None,
    "true": True, "True": True, "TRUE": True,
    "false": False, "False": False, "FALSE": False,
}  # fmt: skip
_MAYBE_NUMBER = frozenset("0123456789+-.")

Path = tuple[str, ...]
Places = dict[Path, tuple[int, int]]
_Tagged = yaml.ScalarEvent | yaml.CollectionStartEvent


def read_yaml(
    text: str | bytes, *, max_depth: int = MAX_DEPTH, max_bytes: int = MAX_BYTES
) -> Tree:
    """Return the tree of one YAML document, numbers as `Number`.

    Args:
        text: The text, or its bytes in UTF-8.
        max_depth: Deepest nesting of mappings and sequences that is read.
        max_bytes: Longest text that is read, in bytes of UTF-8.

    Raises:
        TooLarge: The text is over `max_bytes` or nests deeper than `max_depth`.
        BadInput: Not YAML, or with something that is not taken; all such places,
            with line and column, unless the text cannot be parsed further.
    """
    source = decoded(text, max_bytes=max_bytes)
    builder = _Builder(max_depth)
    try:
        for event in yaml.parse(source, Loader=yaml.CSafeLoader):
            builder.take(event)
    except yaml.YAMLError as error:
        _refuse_parsers_depth(error, max_depth)
        builder.problems.append(_not_yaml(error))
    if builder.problems:
        raise BadInput(first_told(builder.problems))
    return builder.document()


def locate_yaml(source: str, wanted: frozenset[Path]) -> Places:
    """Return line and column, from 1, of the values at the paths wanted."""
    builder = _Builder(MAX_DEPTH, wanted=wanted)
    for event in yaml.parse(source, Loader=yaml.CSafeLoader):
        builder.take(event)
    return builder.places


@dataclass(slots=True)
class _Open:
    """A mapping or sequence whose end has not come yet.

    `key` is the mapping's key whose value is due; None while a key is due.
    """

    value: dict[str, Tree] | list[Tree]
    key: str | None = None


@dataclass(slots=True)
class _Builder:
    max_depth: int
    wanted: frozenset[Path] = frozenset()
    values: int = 0
    problems: list[Problem] = field(default_factory=list)
    places: Places = field(default_factory=dict)
    roots: list[Tree] = field(default_factory=list)
    holders: list[_Open] = field(default_factory=list)

    def take(self, event: yaml.Event) -> None:
        """Take the next event of the parser."""
        self.values += 1
        if self.values > MAX_VALUES:
            raise TooLarge([too_many_values()])
        handler = _HANDLERS.get(type(event))
        if handler is not None:
            handler(self, event)

    def document(self) -> Tree:
        """Return the one document's tree."""
        if not self.roots:
            raise BadInput([Problem("", "the document is empty", "empty", 1, 1)])
        return self.roots[0]

    def path(self) -> Path:
        """Names and indexes down to the value that is due now."""
        return tuple(
            (holder.key or "")
            if isinstance(holder.value, dict)
            else str(len(holder.value))
            for holder in self.holders
        )

    def refuse(self, event: yaml.Event, code: str, detail: str) -> None:
        """Note one problem at the event's place."""
        if len(self.problems) > MOST_TOLD:
            return
        line, column = _spot(event)
        self.problems.append(
            Problem(join("", *self.path()), detail, code, line, column)
        )

    def key_is_due(self) -> bool:
        if not self.holders:
            return False
        holder = self.holders[-1]
        return isinstance(holder.value, dict) and holder.key is None

    def put(self, value: Tree) -> None:
        if not self.holders:
            self.roots.append(value)
            return
        holder = self.holders[-1]
        if isinstance(holder.value, list):
            holder.value.append(value)
            return
        assert holder.key is not None, "a value comes after its key"
        holder.value[holder.key] = value
        holder.key = None


def _take_scalar(builder: _Builder, event: yaml.ScalarEvent) -> None:
    if event.anchor is not None or event.tag is not None:
        _refuse_properties(builder, event)
    if builder.key_is_due():
        _take_key(builder, event)
        return
    if builder.wanted:
        _note_place(builder, event)
    builder.put(_scalar(builder, event))


def _scalar(builder: _Builder, event: yaml.ScalarEvent) -> Tree:
    text: str = event.value
    if not event.implicit[0]:
        return text
    if text in _WORDS:
        return _WORDS[text]
    if text[0] in _MAYBE_NUMBER:
        if _NUMBER.match(text):
            return Number(text)
        if _NOT_FINITE.match(text):
            detail = f"{text} is not a figure; write one, or put it in quotes as text"
            builder.refuse(event, "not_finite", detail)
    return text


def _take_key(builder: _Builder, event: yaml.ScalarEvent) -> None:
    key: str = event.value
    holder = builder.holders[-1]
    assert isinstance(holder.value, dict), "keys belong to mappings"
    holder.key = key
    plain = event.implicit[0]
    if plain and key == "<<":
        builder.refuse(
            event, "merge_key", "merge keys (<<) are not taken; write the fields out"
        )
    elif plain and key in _WORDS:
        detail = f"{key or 'an empty key'} is not text; put the key in quotes"
        builder.refuse(event, "key_not_text", detail)
    elif key in holder.value:
        detail = f'the key "{key}" stands twice in one mapping; keep one of them'
        builder.refuse(event, "duplicate_key", detail)


def _open(
    builder: _Builder,
    event: yaml.CollectionStartEvent,
    value: dict[str, Tree] | list[Tree],
) -> None:
    if event.anchor is not None or event.tag is not None:
        _refuse_properties(builder, event)
    if builder.key_is_due():
        _refuse_key(builder, event)
    if len(builder.holders) >= builder.max_depth:
        _refuse_depth(builder, event)
    if builder.wanted:
        _note_place(builder, event)
    builder.holders.append(_Open(value))


def _open_mapping(builder: _Builder, event: yaml.CollectionStartEvent) -> None:
    _open(builder, event, {})


def _open_sequence(builder: _Builder, event: yaml.CollectionStartEvent) -> None:
    _open(builder, event, [])


def _close(builder: _Builder, event: yaml.Event) -> None:
    builder.put(builder.holders.pop().value)


def _take_alias(builder: _Builder, event: yaml.NodeEvent) -> None:
    detail = f"aliases (*{event.anchor}) are not taken; write the value out"
    builder.refuse(event, "alias", detail)
    if builder.key_is_due():
        _refuse_key(builder, event)
    builder.put(None)


def _take_document(builder: _Builder, event: yaml.Event) -> None:
    if builder.roots:
        builder.refuse(
            event,
            "several_documents",
            "a second document begins here; one file holds one document",
        )
        raise BadInput(first_told(builder.problems))


def _refuse_properties(builder: _Builder, event: _Tagged) -> None:
    if event.anchor is not None:
        detail = f"anchors (&{event.anchor}) are not taken; write the value out"
        builder.refuse(event, "anchor", detail)
    if event.tag is not None:
        detail = f"tags ({event.tag}) are not taken; leave the tag out"
        builder.refuse(event, "tag", detail)


def _refuse_key(builder: _Builder, event: yaml.Event) -> NoReturn:
    # What follows cannot be told apart any more, so reading ends here.
    builder.refuse(event, "key_not_text", "a key must be text, not a list or mapping")
    raise BadInput(first_told(builder.problems))


def _refuse_depth(builder: _Builder, event: yaml.Event) -> NoReturn:
    raise TooLarge([_too_deep(builder.max_depth, *_spot(event))])


def _refuse_parsers_depth(error: yaml.YAMLError, max_depth: int) -> None:
    # The parser looks ahead and has its own, far larger limit.
    if "nesting depth" in str(getattr(error, "problem", "")):
        found = _not_yaml(error)
        raise TooLarge([_too_deep(max_depth, found.line, found.column)]) from None


def _too_deep(max_depth: int, line: int | None, column: int | None) -> Problem:
    detail = f"the nesting is deeper than {max_depth}; nothing below that is read"
    return Problem("", detail, "too_deep", line, column)


def _note_place(builder: _Builder, event: yaml.Event) -> None:
    path = builder.path()
    if path in builder.wanted:
        builder.places.setdefault(path, _spot(event))


def _spot(event: yaml.Event) -> tuple[int, int]:
    mark = event.start_mark
    assert mark is not None, "the parser marks every event"
    return mark.line + 1, mark.column + 1


def _not_yaml(error: yaml.YAMLError) -> Problem:
    mark = getattr(error, "problem_mark", None)
    said = getattr(error, "problem", None) or getattr(error, "reason", None) or "?"
    line, column = (mark.line + 1, mark.column + 1) if mark else (None, None)
    return Problem("", f"this is not YAML: {said}", "not_yaml", line, column)


_HANDLERS: dict[type, Callable[[_Builder, Any], None]] = {
    yaml.ScalarEvent: _take_scalar,
    yaml.MappingStartEvent: _open_mapping,
    yaml.SequenceStartEvent: _open_sequence,
    yaml.MappingEndEvent: _close,
    yaml.SequenceEndEvent: _close,
    yaml.AliasEvent: _take_alias,
    yaml.DocumentStartEvent: _take_document,
}


def write_yaml(tree: Tree) -> str:
    """Return `tree` as YAML for people: short rows on one line, the rest in blocks.

    Reading it gives the same tree, with the numbers as they were written.
    """
    text: str = yaml.emit(
        _events(tree), Dumper=yaml.CSafeDumper, allow_unicode=True, width=_WIDTH
    )
    return text


_WIDTH = 88


def _events(tree: Tree) -> Iterator[yaml.Event]:
    yield yaml.StreamStartEvent()
    yield yaml.DocumentStartEvent(explicit=False)
    yield from _value_events(tree)
    yield yaml.DocumentEndEvent(explicit=False)
    yield yaml.StreamEndEvent()


def _value_events(value: Tree) -> Iterator[yaml.Event]:
    if isinstance(value, dict):
        yield yaml.MappingStartEvent(
            None, None, implicit=True, flow_style=_is_row(value)
        )
        for key, item in value.items():
            yield _text_event(key)
            yield from _value_events(item)
        yield yaml.MappingEndEvent()
    elif isinstance(value, list):
        yield yaml.SequenceStartEvent(
            None, None, implicit=True, flow_style=_is_row(value)
        )
        for item in value:
            yield from _value_events(item)
        yield yaml.SequenceEndEvent()
    else:
        yield _scalar_event(value)


def _scalar_event(value: Tree) -> yaml.Event:
    if isinstance(value, str):
        return _text_event(value)
    if isinstance(value, Number):
        return _plain_event(value.text)
    return _plain_event("null" if value is None else str(value).lower())


def _plain_event(text: str, style: str | None = None) -> yaml.Event:
    return yaml.ScalarEvent(None, None, implicit=(True, True), value=text, style=style)


def _text_event(text: str) -> yaml.Event:
    # Plain where the core schema would read it back as the same text, and where
    # readers of YAML 1.1 would not take it for something else either.
    if "\n" in text.strip("\n"):
        return _plain_event(text, style="|")
    return _plain_event(text, style=None if _stays_text(text) else '"')


def _stays_text(text: str) -> bool:
    if text in _WORDS or text == "<<" or _NUMBER.match(text):
        return False
    if _NOT_FINITE.match(text):
        return False
    for tag_resolver in yaml.SafeLoader.yaml_implicit_resolvers.get(text[0], ()):
        if tag_resolver[1].match(text):
            return False
    return True


def _is_row(value: dict[str, Tree] | list[Tree]) -> bool:
    """Whether it goes on one line: only scalars, and short."""
    items = value.values() if isinstance(value, dict) else value
    if any(isinstance(item, dict | list) and item for item in items):
        return False
    size = sum(len(_plain(item)) + 2 for item in items)
    if isinstance(value, dict):
        size += sum(len(key) + 2 for key in value)
    return size <= _WIDTH


def _plain(value: Tree) -> str:
    return value.text if isinstance(value, Number) else str(value)
