"""Forms of figures: truth values, whole numbers, physical figures, quantities."""

# ruff: noqa: D102 - the methods of forms are documented once, at `Form`.
from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar

from bomsvc.core.catalogue.forms.base import (
    Form,
    Schema,
    describe,
    not_number,
    not_text,
    plain_text,
    wrong_type,
)
from bomsvc.core.catalogue.reading import Place, Reading
from bomsvc.core.terms.numbers import (
    CEILING,
    DECIMALS,
    Number,
    Tree,
    decimal_text,
    fixed_decimal,
    is_too_large,
)

_QUANTITY = re.compile(r"[0-9]{1,6}(\.[0-9]{1,6})?\Z")


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
            not_number(value, self._due, place, reading)
            return self.most
        exact = fixed_decimal(value.text)
        if exact is None or exact % 1 or not self.least <= exact <= self.most:
            says = f"{describe(value)} stands where {self._due} is due"
            reading.report(place, "out_of_range", says)
            return self.most
        return int(exact)

    def write(self, value: int) -> Tree:
        return Number(str(value))

    def stand_in(self) -> int:
        return self.most

    def schema(self) -> Schema:
        return {"type": "integer", "minimum": self.least, "maximum": self.most}

    @property
    def _due(self) -> str:
        return self.says if self.least == self.most else f"a {self.says}"

    @property
    def says(self) -> str:
        if self.least == self.most:
            return str(self.least)
        return f"whole number from {self.least} to {self.most}"


@dataclass(frozen=True, slots=True)
class Figure(Form):
    """A physical figure: a number of at most six decimals.

    `least`: "any" sign, "nought" or more, or "above" nought.
    """

    least: str = "nought"
    _SAYS: ClassVar[dict[str, str]] = {
        "any": "a number",
        "nought": "a number from 0",
        "above": "a number above 0",
    }

    def read(self, value: Tree, place: Place, reading: Reading) -> Decimal:
        if not isinstance(value, Number):
            not_number(value, self._SAYS[self.least], place, reading)
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
        elif is_too_large(value.decimal):
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
            not_text(value, 'a quantity, such as "2",', place, reading)
            return Decimal(1)
        exact = Decimal(text) if _QUANTITY.match(text) else None
        if not exact:
            says = (
                f"{describe(value)} is not a quantity: above 0, at most 6 digits "
                f'before and {DECIMALS} after the point, such as "2" or "0.35"'
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
