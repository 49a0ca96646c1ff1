"""Numbers exactly as written, and decimals as plain text.

A document's numbers never pass through binary floating point: readers keep the
text, and whoever needs the value takes the exact decimal of it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Context, Decimal, InvalidOperation
from typing import TypeAlias

Tree: TypeAlias = "dict[str, Tree] | list[Tree] | str | bool | Number | None"
"""A document as plain values: what the JSON, YAML and workbook readers give."""

DECIMALS = 6
"""Decimals a quantity or physical figure may have."""
CEILING = Decimal(10) ** 6
"""Quantities and physical figures stay below this, so that twelve digits hold any
of them: every JSON reader that uses binary floating point gets the same value."""

_PLAIN = re.compile(r"-?[0-9]{1,6}(\.[0-9]{1,6})?\Z")
_RADIX = re.compile(r"0([ox])([0-9a-fA-F]+)\Z")
_STEP = Decimal(1).scaleb(-DECIMALS)
_WIDE = Context(prec=60)
_TOO_LARGE = CEILING.adjusted()
_LONGEST = 40
"""Hexadecimal numbers from this length on are out of any range; they are not
computed, because turning them into decimals takes time by the square."""


@dataclass(frozen=True, slots=True)
class Number:
    """A number exactly as written: JSON, or YAML's core schema (`0x1F`, `+.5`)."""

    text: str

    @property
    def decimal(self) -> Decimal:
        """The exact value; an infinity where the exponent is beyond all sense."""
        radix = _RADIX.match(self.text) if len(self.text) < _LONGEST else None
        if radix:
            return Decimal(int(radix[2], 8 if radix[1] == "o" else 16))
        try:
            return Decimal(self.text)
        except InvalidOperation:
            return Decimal("-Infinity" if self.text.startswith("-") else "Infinity")


def decimal_text(value: Decimal) -> str:
    """Return a finite decimal plainly: no exponent, no trailing zeros ("2", "0.03").

    Minus nought is "0".
    """
    text = str(value)
    if "E" in text:
        text = format(value, "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def fixed_decimal(text: str) -> Decimal | None:
    """Return the exact value of number text, or None where it is out of form.

    In form: finite, below `CEILING` either way, at most `DECIMALS` decimals.
    """
    if _PLAIN.match(text):
        return Decimal(text)
    value = Number(text).decimal
    return None if is_too_large(value) else _in_steps(value)


def is_too_large(value: Decimal) -> bool:
    """Tell whether a value is `CEILING` or more, either way, or not finite."""
    # By its leading digit: computing with it could overflow.
    return not value.is_finite() or (bool(value) and value.adjusted() >= _TOO_LARGE)


def _in_steps(value: Decimal) -> Decimal | None:
    if value == 0:
        return Decimal(0)
    if value.adjusted() < -DECIMALS:
        return None
    rounded = value.quantize(_STEP, context=_WIDE)
    return rounded if rounded == value else None
