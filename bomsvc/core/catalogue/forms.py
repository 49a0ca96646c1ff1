"""The forms a field's value may take: how it is read, written and described.

One table (`shape`) says which field has which form. Reading, the canonical form,
the JSON Schema and the table of defaults all follow from it, so they agree.
Reading is forgiving in one thing: where text is due, a number is taken exactly as
written. `read` gives a stand-in where it reports a problem.
"""

# ruff: noqa: D102 - the methods of forms are documented once, at `Form`.
from __future__ import annotations

import re
from abc import ABC, abstractmethod
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, ClassVar

from bomsvc.core.catalogue.reading import Place, Reading
from bomsvc.core.terms.numbers import (
    CEILING,
    DECIMALS,
    Number,
    Tree,
    decimal_text,
    fixed_decimal,
)
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
_QUANTITY = re.compile(r"[0-9]{1,6}(\.[0-9]{1,6})?\Z")

Schema = dict[str, Any]


class Form(ABC):
    """A form of value. `says` describes it to people."""

    @abstractmethod
    def read(self, value: Tree, place: Place, reading: Reading) -> Any:  # noqa: ANN401
        """Return the value in its own type, or report and return a stand-in."""

    @abstractmethod
    def stand_in(self) -> Any:  # noqa: ANN401
        """Return a value for the rest of the reading where none could be read."""

    @abstractmethod
    def schema(self) -> Schema:
        """Return the JSON Schema of the form."""

    @property
    @abstractmethod
    def says(self) -> str:
        """What stands here, in a few words."""

    def write(self, value: Any) -> Tree:  # noqa: ANN401
        """Return the canonical tree of a value that was read."""
        tree: Tree = value
        return tree


def plain_text(value: Tree) -> str | None:
    """Return text, or a number exactly as written; None for anything else."""
    if isinstance(value, str):
        return value
    if isinstance(value, Number):
        return value.text
    return None


def describe(value: Tree) -> str:
    """Return what a value is, for sentences: "a list", "the number 5"."""
    if value is None:
        return "nothing (null)"
    if isinstance(value, bool):
        return f"the truth value {str(value).lower()}"
    if isinstance(value, Number):
        return f"the number {value.text[:40]}"
    if isinstance(value, str):
        shown = value if len(value) <= _SHOWN else value[:_SHOWN] + "..."
        return f'the text "{shown}"'
    return "a list" if isinstance(value, list) else "an object"


_SHOWN = 60


def wrong_type(value: Tree, due: str, place: Place, reading: Reading) -> None:
    """Report a value of another type than due, and how to write it."""
    says = f"{describe(value)} stands where {due} is due"
    if isinstance(value, bool):
        says += f'; if it is meant as text, put it in quotes: "{str(value).lower()}"'
    reading.report(place, "wrong_type", says)


@dataclass(frozen=True, slots=True)
class Text(Form):
    """Text for people: one line, or several where `lines`."""

    lines: bool = False

    def read(self, value: Tree, place: Place, reading: Reading) -> str:
        text = plain_text(value)
        if text is None:
            wrong_type(value, "text", place, reading)
            return ""
        if not text.isprintable() and not self._holdable(text, place, reading):
            return ""
        if not text.strip():
            reading.report(place, "blank_text", "the text is blank; write something")
        elif len(text) > self._longest:
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
            wrong_type(value, self.what, place, reading)
            return ""
        if not text.strip():
            reading.report(place, "blank_text", f"{self.what} is due here, not a blank")
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
            wrong_type(value, "a part number", place, reading)
            return ""
        if not is_part_number(text):
            says = (
                f"{describe(text)} is not a part number: "
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
            says = f"{describe(text)} is not one of {', '.join(self.words)}"
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


@dataclass(frozen=True, slots=True)
class Truth(Form):
    """True or false."""

    def read(self, value: Tree, place: Place, reading: Reading) -> bool:
        if isinstance(value, bool):
            return value
        wrong_type(value, "true or false", place, reading)
        return False

    def stand_in(self) -> bool:
        return False

    def schema(self) -> Schema:
        return {"type": "boolean"}

    @property
    def says(self) -> str:
        return "true or false"


@dataclass(frozen=True, slots=True)
class Whole(Form):
    """A whole number within bounds, both included."""

    least: int
    most: int

    def read(self, value: Tree, place: Place, reading: Reading) -> int:
        if not isinstance(value, Number):
            advice = " without quotes" if isinstance(value, str) else ""
            wrong_type(value, f"a whole number{advice}", place, reading)
            return self.least
        exact = fixed_decimal(value.text)
        if exact is None or exact % 1 or not self.least <= exact <= self.most:
            says = f"{describe(value)} is not a whole number {self._span}"
            reading.report(place, "out_of_range", says)
            return self.least
        return int(exact)

    def write(self, value: int) -> Tree:
        return Number(str(value))

    def stand_in(self) -> int:
        return self.least

    def schema(self) -> Schema:
        return {"type": "integer", "minimum": self.least, "maximum": self.most}

    @property
    def _span(self) -> str:
        return f"from {self.least} to {self.most}"

    @property
    def says(self) -> str:
        return f"whole number {self._span}"


@dataclass(frozen=True, slots=True)
class Figure(Form):
    """A physical figure: a number of at most six decimals.

    `least`: "any" sign, "nought" or more, or "above" nought.
    """

    least: str = "nought"
    _SAYS: ClassVar[dict[str, str]] = {
        "any": "a number",
        "nought": "a number, 0 or more",
        "above": "a number above 0",
    }

    def read(self, value: Tree, place: Place, reading: Reading) -> Decimal:
        if not isinstance(value, Number):
            advice = " without quotes" if isinstance(value, str) else ""
            wrong_type(value, self._SAYS[self.least] + advice, place, reading)
            return self.stand_in()
        exact = fixed_decimal(value.text)
        if exact is None or self._is_below(exact):
            self._refuse(value, exact, place, reading)
            return self.stand_in()
        return exact

    def _is_below(self, exact: Decimal) -> bool:
        return (self.least != "any" and exact < 0) or (
            self.least == "above" and exact == 0
        )

    def _refuse(
        self, value: Number, exact: Decimal | None, place: Place, reading: Reading
    ) -> None:
        if exact is not None:
            says = f"{describe(value)} stands where {self._SAYS[self.least]} is due"
        elif not abs(value.decimal) < CEILING:
            says = f"{describe(value)} is too large; figures stay below {CEILING:,}"
        else:
            says = f"{describe(value)} has more than {DECIMALS} decimals; round it"
        reading.report(place, "out_of_range", says)

    def write(self, value: Decimal) -> Tree:
        return Number(decimal_text(value))

    def stand_in(self) -> Decimal:
        return Decimal(1)

    def schema(self) -> Schema:
        limit = int(CEILING)
        below: Schema = {
            "any": {"exclusiveMinimum": -limit},
            "nought": {"minimum": 0},
            "above": {"exclusiveMinimum": 0},
        }[self.least]
        return {"type": "number", **below, "exclusiveMaximum": limit}

    @property
    def says(self) -> str:
        return self._SAYS[self.least].removeprefix("a ")


@dataclass(frozen=True, slots=True)
class Quantity(Form):
    """A quantity above nought, as decimal text ("0.35")."""

    def read(self, value: Tree, place: Place, reading: Reading) -> Decimal:
        text = plain_text(value)
        if text is None:
            wrong_type(value, 'a quantity, such as "2",', place, reading)
            return Decimal(1)
        exact = Decimal(text) if _QUANTITY.match(text) else None
        if not exact:
            says = (
                f"{describe(text)} is not a quantity: digits above 0, at most 6 before "
                f'and {DECIMALS} after the point, such as "2" or "0.35"'
            )
            reading.report(place, "bad_quantity", says)
            return Decimal(1)
        return exact

    def write(self, value: Decimal) -> Tree:
        return decimal_text(value)

    def stand_in(self) -> Decimal:
        return Decimal(1)

    def schema(self) -> Schema:
        pattern = r"^(?!0+(\.0+)?$)[0-9]{1,6}(\.[0-9]{1,6})?$"
        return {
            "type": ["string", "number"],
            "pattern": pattern,
            "exclusiveMinimum": 0,
            "exclusiveMaximum": int(CEILING),
        }

    @property
    def says(self) -> str:
        return "quantity, decimal text above 0"
