"""Reading a serial answer: number, digits, prefixed text, interval."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass

from bomsvc.core.catalogue.entities import Prefix
from bomsvc.core.logic.serials import SERIAL_MAX, SERIAL_MIN
from bomsvc.core.terms.numbers import Number
from bomsvc.core.terms.words import nearest

_RANGE = re.compile(r"\s*([0-9]*)\s*\.\.\s*([0-9]*)\s*\Z", re.ASCII)
_PREFIXED = re.compile(r"\s*(\D*?)[\s-]*([0-9]+)\s*\Z", re.ASCII)

FORMS = (
    "a number from 1 to 999999999, its digits, the text of the plate with its "
    'prefix, "21000..21043", or {"from": 21000, "to": 21043}'
)


@dataclass(frozen=True, slots=True)
class SerialAnswer:
    """Serial numbers `first` to `last`; the prefix it was typed with, if any."""

    first: int
    last: int
    prefix: Prefix | None = None


class SerialMistake(Exception):  # noqa: N818 - becomes a Problem
    """The serial answer cannot be read; the text says what would be right."""

    def __init__(self, detail: str, remedy: str | None = None) -> None:
        super().__init__(detail)
        self.remedy = remedy


def read_serial(value: object, prefixes: Mapping[str, Prefix]) -> SerialAnswer:
    """Read any form of a serial answer.

    Args:
        value: As the answer came in.
        prefixes: The family's prefixes by their text.

    Raises:
        SerialMistake: Not a form of a serial answer, or out of range.
    """
    if isinstance(value, Mapping):
        return _interval(value)
    if isinstance(value, str):
        return _text(value, prefixes)
    number = whole_number(value)
    if number is None:
        raise SerialMistake(f"The serial is {FORMS}.")
    return _between(number, number)


def whole_number(value: object) -> int | None:
    """Return a whole number however a reader gave it, or None."""
    if isinstance(value, bool):
        return None
    if isinstance(value, int):
        return value
    if isinstance(value, Number):
        return _whole(value)
    return None


def _whole(number: Number) -> int | None:
    value = number.decimal
    if not value.is_finite() or value.adjusted() > len(str(SERIAL_MAX)):
        return None
    return int(value) if value == value.to_integral_value() else None


def _interval(value: Mapping[str, object]) -> SerialAnswer:
    unknown = sorted(set(map(str, value)) - {"from", "to"})
    if unknown or not value:
        raise SerialMistake(f"An interval has from, to or both; the serial is {FORMS}.")
    ends = {name: _end(end) for name, end in value.items()}
    return _between(ends.get("from", SERIAL_MIN), ends.get("to", SERIAL_MAX))


def _end(value: object) -> int:
    if isinstance(value, str) and value.isascii() and value.isdigit():
        return _digits(value)
    number = whole_number(value)
    if number is None:
        raise SerialMistake("The ends of an interval are whole numbers.")
    return number


def _text(text: str, prefixes: Mapping[str, Prefix]) -> SerialAnswer:
    text = unicodedata.normalize("NFKC", text)
    if match := _RANGE.match(text):
        first, last = match.groups()
        if first or last:
            return _between(
                _digits(first) if first else SERIAL_MIN,
                _digits(last) if last else SERIAL_MAX,
            )
    if match := _PREFIXED.match(text):
        return _prefixed(match[1], _digits(match[2]), prefixes)
    raise SerialMistake(f"'{text}' is not a serial: it is {FORMS}.")


def _prefixed(text: str, number: int, prefixes: Mapping[str, Prefix]) -> SerialAnswer:
    if not text:
        return _between(number, number)
    by_upper = {known.upper(): prefix for known, prefix in prefixes.items()}
    prefix = prefixes.get(text) or by_upper.get(text.upper())
    if prefix is None:
        near = nearest(text.upper(), by_upper)
        known = ", ".join(prefixes) or "none"
        raise SerialMistake(
            f"'{text}' is not a serial prefix of this family; known: {known}.", near
        )
    plain = _between(number, number)
    return SerialAnswer(plain.first, plain.last, prefix)


def _digits(text: str) -> int:
    bare = text.lstrip("0")
    if len(bare) > len(str(SERIAL_MAX)):
        raise SerialMistake(f"A serial is from {SERIAL_MIN} to {SERIAL_MAX}.")
    return int(bare or "0")


def _between(first: int, last: int) -> SerialAnswer:
    if not (SERIAL_MIN <= first <= SERIAL_MAX and SERIAL_MIN <= last <= SERIAL_MAX):
        raise SerialMistake(f"A serial is from {SERIAL_MIN} to {SERIAL_MAX}.")
    if last < first:
        raise SerialMistake(
            f"The interval ends before it begins: from {first} to {last}.",
            f"{last}..{first}",
        )
    return SerialAnswer(first, last)
