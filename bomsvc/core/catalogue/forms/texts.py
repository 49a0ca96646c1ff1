"""Forms of text: for people, codes, references, part numbers, fixed words."""

# ruff: noqa: D102 - the methods of forms are documented once, at `Form`.
from __future__ import annotations

import re
from dataclasses import dataclass

from bomsvc.core.catalogue.forms.base import (
    Form,
    Schema,
    describe,
    not_text,
    plain_text,
    with_article,
    wrong_type,
)
from bomsvc.core.catalogue.reading import Place, Reading
from bomsvc.core.terms.numbers import Tree
from bomsvc.core.terms.words import (
    CODE,
    PART_NUMBER_LENGTH,
    RESERVED,
    is_part_number,
)

LINE_LENGTH = 300
"""Longest one-line text, in characters."""
TEXT_LENGTH = 10_000
"""Longest text, in characters: it fits a spreadsheet cell (32,767) with room."""
CODE_SAYS = "a small letter, then small letters, digits or _, at most 40 in all"

# What XML, and so a workbook, cannot hold, and carriage returns, which it changes.
_NEVER = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff"
    + "".join(f"{chr(p * 65536 + 65534)}{chr(p * 65536 + 65535)}" for p in range(1, 17))
    + "]"
)
_BREAKS = re.compile("[\t\n\u2028\u2029]")


@dataclass(frozen=True, slots=True)
class Text(Form):
    """Text for people: one line, or several where `lines`."""

    lines: bool = False

    def read(self, value: Tree, place: Place, reading: Reading) -> str:
        text = plain_text(value)
        if text is None:
            not_text(value, "text", place, reading)
            return ""
        if not text.isprintable() and not self._holdable(text, place, reading):
            return ""
        if not text.strip():
            reading.report(place, "blank_text", "the text is blank; write something")
            return ""
        if len(text) > self._longest:
            says = f"the text has {len(text):,} characters; at most {self._longest:,}"
            reading.report(place, "text_too_long", says)
        return text

    def _holdable(self, text: str, place: Place, reading: Reading) -> bool:
        bad = _NEVER.search(text) or (None if self.lines else _BREAKS.search(text))
        if bad is None:
            return True
        says = f"the character U+{ord(bad[0]):04X} cannot stand in this text"
        advice = "; keep it on one line" if _BREAKS.match(bad[0]) else "; leave it out"
        reading.report(place, "bad_character", says + advice)
        return False

    @property
    def _longest(self) -> int:
        return TEXT_LENGTH if self.lines else LINE_LENGTH

    def stand_in(self) -> str:
        return ""

    def schema(self) -> Schema:
        return {"type": ["string", "number"], "maxLength": self._longest}

    @property
    def says(self) -> str:
        return "text" if self.lines else "text on one line"


@dataclass(frozen=True, slots=True)
class Code(Form):
    """A name in the document that other items refer to.

    `of_series`: the name of a series itself, which all other codes must avoid.
    """

    of_series: bool = False

    def read(self, value: Tree, place: Place, reading: Reading) -> str:
        text = plain_text(value)
        if text is None:
            wrong_type(value, "a code", place, reading)
            return ""
        if not CODE.match(text):
            self._refuse(text, place, reading)
        elif text in RESERVED:
            says = f'"{text}" is a reserved word and cannot be a code'
            reading.report(place, "reserved_code", says, remedy=f"{text}_1")
        elif text in reading.series and not self.of_series:
            says = f'"{text}" is the name of a series and cannot be another code'
            reading.report(place, "reserved_code", says, remedy=f"{text}_1")
        return text

    def _refuse(self, text: str, place: Place, reading: Reading) -> None:
        says = f"{describe(text)} is not a code: {CODE_SAYS}"
        remedy = re.sub(r"[^a-z0-9]+", "_", text.lower()).strip("_")[:40]
        if not CODE.match(remedy) or remedy in RESERVED:
            reading.report(place, "bad_code", says)
            return
        reading.report(place, "bad_code", f'{says}; such as "{remedy}"', remedy=remedy)

    def stand_in(self) -> str:
        return ""

    def schema(self) -> Schema:
        return {
            "type": "string",
            "pattern": "^[a-z][a-z0-9_]{0,39}$",
            "not": {"enum": sorted(RESERVED)},
        }

    @property
    def says(self) -> str:
        return "code"


@dataclass(frozen=True, slots=True)
class Named(Form):
    """Text in the document's own language: a reference or a condition.

    What it names is looked up once all names are known.
    """

    what: str

    def read(self, value: Tree, place: Place, reading: Reading) -> str:
        text = plain_text(value)
        if text is None:
            not_text(value, with_article(self.what), place, reading)
            return ""
        if not text.strip():
            says = f"{with_article(self.what)} is due here, not a blank"
            reading.report(place, "blank_text", says)
            return ""
        return text

    def stand_in(self) -> str:
        return ""

    def schema(self) -> Schema:
        return {"type": ["string", "number"]}

    @property
    def says(self) -> str:
        return self.what


@dataclass(frozen=True, slots=True)
class PartNumber(Form):
    """A part's number; any spelling of the same identity is the same part."""

    def read(self, value: Tree, place: Place, reading: Reading) -> str:
        text = plain_text(value)
        if text is None:
            not_text(value, "a part number", place, reading)
            return ""
        if not is_part_number(text):
            says = (
                f"{describe(value)} is not a part number: "
                f"1 to {PART_NUMBER_LENGTH} printable characters"
            )
            reading.report(place, "bad_part_number", says)
            return ""
        return text.strip()

    def stand_in(self) -> str:
        return ""

    def schema(self) -> Schema:
        return {"type": ["string", "number"], "minLength": 1}

    @property
    def says(self) -> str:
        return "part number"


@dataclass(frozen=True, slots=True)
class Words(Form):
    """One of a few fixed words."""

    words: tuple[str, ...]

    def read(self, value: Tree, place: Place, reading: Reading) -> str:
        text = plain_text(value)
        if text in self.words:
            return text
        if text is None:
            wrong_type(value, f"one of {', '.join(self.words)}", place, reading)
        else:
            says = f"{describe(value)} is not one of {', '.join(self.words)}"
            near = reading.nearest(text, self.words)
            says += f'; the nearest is "{near}"' if near else ""
            reading.report(place, "unknown_word", says, remedy=near)
        return self.words[0]

    def stand_in(self) -> str:
        return self.words[0]

    def schema(self) -> Schema:
        numbers = [int(word) for word in self.words if word.isdigit()]
        return {"enum": [*self.words, *numbers]}

    @property
    def says(self) -> str:
        return " \\| ".join(f"`{word}`" for word in self.words)
