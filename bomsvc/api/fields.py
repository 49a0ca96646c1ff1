"""Fields of request schemas, on trees of the strict reader (numbers as written).

The fields of marshmallow take more than they should: full-width digits, "1_000",
truth values for numbers. These take what the documentation says and nothing else.
"""

# The methods below have the signatures of marshmallow, which takes anything.
# ruff: noqa: ANN401

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any, NoReturn

from marshmallow import RAISE, Schema, ValidationError, fields

from bomsvc.core.terms.numbers import Number
from bomsvc.core.terms.pointers import join
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.core.terms.words import nearest

LONGEST_TEXT = 4_000
LONGEST_LIST = 10_000
_WHOLE = re.compile(r"-?[0-9]{1,18}\Z", re.ASCII)
UNKNOWN = "Unknown field."
"""marshmallow's own message for a field that the schema does not have."""


class Body(Schema):
    """Base of request schemas: unknown fields are refused."""

    class Meta:
        """Options of marshmallow."""

        unknown = RAISE


class Text(fields.Field[str]):
    """Text without control characters (line breaks where `lines`)."""

    def __init__(
        self, *, longest: int = LONGEST_TEXT, lines: bool = False, **more: Any
    ) -> None:
        super().__init__(**more)
        self.longest = longest
        self.lines = lines

    def _deserialize(self, value: Any, *_args: Any, **_more: Any) -> str:
        if not isinstance(value, str):
            _refuse("Text is due here.")
        if len(value) > self.longest:
            _refuse(f"At most {self.longest} characters.")
        allowed = "\n\r\t" if self.lines else ""
        if any(unicodedata.category(c) == "Cc" and c not in allowed for c in value):
            _refuse("Control characters are not taken.")
        return str(value)


class Whole(fields.Field[int]):
    """A whole number from `least` to `most`; digits as text where `from_text`."""

    def __init__(
        self, *, least: int, most: int, from_text: bool = False, **more: Any
    ) -> None:
        super().__init__(**more)
        self.least = least
        self.most = most
        self.from_text = from_text

    def _deserialize(self, value: Any, *_args: Any, **_more: Any) -> int:
        text = value.text if isinstance(value, Number) else None
        if self.from_text and isinstance(value, str):
            text = value
        if text is None or not _WHOLE.match(text):
            _refuse("A whole number is due here.")
        if not self.least <= int(text) <= self.most:
            _refuse(f"From {self.least} to {self.most}.")
        return int(text)


class Listing(fields.Field[tuple[Any, ...]]):
    """A list of texts, or of objects where `objects`."""

    def __init__(self, *, objects: bool = False, **more: Any) -> None:
        super().__init__(**more)
        self.objects = objects

    def _deserialize(self, value: Any, *_args: Any, **_more: Any) -> tuple[Any, ...]:
        if not isinstance(value, list):
            _refuse("A list is due here.")
        if len(value) > LONGEST_LIST:
            _refuse(f"At most {LONGEST_LIST} items.")
        kind, said = (dict, "An object") if self.objects else (str, "Text")
        wrong = {
            index: [f"{said} is due here."]
            for index, item in enumerate(value)
            if not isinstance(item, kind)
        }
        if wrong:
            raise ValidationError(wrong)
        return tuple(value)


class Tree(fields.Field[Mapping[str, Any]]):
    """An object whose fields are read further in; texts only where `of_texts`."""

    def __init__(self, *, of_texts: bool = False, **more: Any) -> None:
        super().__init__(**more)
        self.of_texts = of_texts

    def _deserialize(self, value: Any, *_args: Any, **_more: Any) -> Mapping[str, Any]:
        if not isinstance(value, dict):
            _refuse("An object is due here.")
        if self.of_texts:
            wrong = {
                name: ["Text is due here."]
                for name, item in value.items()
                if not isinstance(item, str)
            }
            if wrong:
                raise ValidationError(wrong)
        return value


def _refuse(message: str) -> NoReturn:
    raise ValidationError(message)


def load(schema: type[Schema], tree: object, *, root: str = "") -> dict[str, Any]:
    """Read an object by its schema.

    Args:
        schema: The schema.
        tree: What the strict reader gave.
        root: Pointer of the object.

    Raises:
        BadInput: Every field that is missing, unknown or wrong.
    """
    if not isinstance(tree, dict):
        raise BadInput([Problem(root, "An object is due here.", "wrong_type")])
    made = _made(schema)
    try:
        loaded: dict[str, Any] = made.load(tree)
    except ValidationError as error:
        known = tuple(made.fields)
        raise BadInput(_problems(error.messages_dict, root, known)) from None
    return loaded


@cache
def _made(schema: type[Schema]) -> Schema:
    # Making one copies every field; loading changes nothing in it.
    return schema()


def _problems(
    messages: Mapping[Any, Any], pointer: str, known: Sequence[str]
) -> list[Problem]:
    found: list[Problem] = []
    for name, said in messages.items():
        here = join(pointer, name)
        if isinstance(said, Mapping):
            found.extend(_problems(said, here, ()))
        else:
            found.extend(_problem(here, str(name), text, known) for text in said)
    return found


def _problem(pointer: str, name: str, message: str, known: Sequence[str]) -> Problem:
    if message != UNKNOWN:
        code = "required" if "required" in message else "invalid"
        return Problem(pointer, message, code)
    near = nearest(name, known)
    hint = f" Did you mean {near!r}?" if near else f" Known: {', '.join(known)}."
    return Problem(
        pointer, f"There is no field {name!r} here.{hint}", "unknown_field", remedy=near
    )
