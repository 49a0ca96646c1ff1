"""Reading the fields of a typed-in request strictly, every problem collected.

Numbers are taken exactly as typed: a JSON number, a `Decimal`, a `Fraction` from the
command line, or a `Number` of the strict reader. Nothing is guessed and nothing is
ignored: an unknown field is a problem that names the nearest known one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from bomsvc.core.fasteners.candidates import figure
from bomsvc.core.fasteners.kinds import INCH
from bomsvc.core.terms.numbers import Number
from bomsvc.core.terms.pointers import join
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.core.terms.words import nearest

LONGEST_MM = Fraction(2000)
"""No engine screw is near this; beyond it somebody typed another unit."""
DECIMALS = 6
_FINEST = 10**DECIMALS
LONGEST_EXPONENT = 40
_BEYOND = 10**LONGEST_EXPONENT
"""Whole numbers are cut off here, far beyond any limit that refuses them."""

T = TypeVar("T", bound=str)


def as_object(request: object) -> Mapping[str, object]:
    """Take a request as the object it has to be.

    Raises:
        BadInput: It is something else.
    """
    if isinstance(request, Mapping):
        return request
    raise BadInput([Problem("", "The request is an object.", code="invalid")])


class Problems:
    """Collects problems; `raise_any` raises all of them as one `BadInput`."""

    def __init__(self) -> None:
        self.found: list[Problem] = []

    def add(
        self,
        pointer: str,
        detail: str,
        *,
        code: str = "invalid",
        remedy: str | None = None,
    ) -> None:
        """Note one problem."""
        self.found.append(Problem(pointer, detail, code=code, remedy=remedy))

    def raise_any(self) -> None:
        """Raise what was found.

        Raises:
            BadInput: At least one problem was found.
        """
        if self.found:
            raise BadInput(self.found)


class Fields:
    """One object of a request: its members are asked for by name, once each.

    Attributes:
        scale: mm per unit of the lengths typed in.
        suffix: "mm" or "in"; a field `entry_mm` is then typed as `entry_in`.
    """

    def __init__(
        self,
        raw: Mapping[str, object],
        pointer: str,
        problems: Problems,
        *,
        inch: bool = False,
    ) -> None:
        self.raw = raw
        self.pointer = pointer
        self.problems = problems
        self.inch = inch
        self.scale = INCH if inch else Fraction(1)
        self.suffix = "in" if inch else "mm"
        self.known: list[str] = []

    def text(self, name: str, *, required: bool = True) -> str | None:
        """A text that is not blank."""
        value = self._take(name, required=required)
        if value is None:
            return None
        if not isinstance(value, str) or not value.strip():
            self._wrong(name, f"{name} is a text.")
            return None
        return value.strip()

    def choice(
        self, name: str, choices: tuple[T, ...], *, required: bool = True
    ) -> T | None:
        """One of some words."""
        value = self._take(name, required=required)
        if value is None:
            return None
        for word in choices:
            if value == word:
                return word
        near = nearest(value, choices) if isinstance(value, str) else None
        self._wrong(
            name,
            f"{name} is one of {', '.join(choices)}.",
            code="unknown_word",
            remedy=near,
        )
        return None

    def flag(self, name: str) -> bool:
        """True or false; absent is false."""
        value = self._take(name, required=False)
        if value is None or isinstance(value, bool):
            return bool(value)
        self._wrong(name, f"{name} is true or false.")
        return False

    def length(
        self,
        name: str,
        *,
        required: bool = False,
        positive: bool = False,
        default: Fraction | None = None,
    ) -> Fraction | None:
        """A length, mm, from the field `NAME_mm` (or `NAME_in`)."""
        return self.plain_length(
            f"{name}_{self.suffix}", required=required, positive=positive,
            default=default,
        )  # fmt: skip

    def plain_length(
        self,
        field: str,
        *,
        required: bool = False,
        positive: bool = False,
        default: Fraction | None = None,
    ) -> Fraction | None:
        """A length, mm, from the field as named."""
        value = self._take(field, required=required)
        if value is None:
            return default
        number = self._number(field, value)
        return (
            default if number is None else self._sane(field, number, positive=positive)
        )

    def ratio(
        self, name: str, low: Fraction, high: Fraction, *, default: Fraction | None
    ) -> Fraction | None:
        """A bare number within limits, both included."""
        value = self._take(name, required=False)
        if value is None:
            return default
        number = self._number(name, value)
        if number is None:
            return default
        if not low <= number <= high:
            self._wrong(
                name,
                f"{name} is {figure(number)}; it is from {figure(low)} to "
                f"{figure(high)}.",
                code="out_of_range",
            )
            return default
        return number

    def tolerances(self, whole: Fraction | None) -> tuple[Fraction, Fraction]:
        """`tol`, or `plus` and `minus`, mm; not larger than what they belong to."""
        return self.named_tolerances(("tol", "plus", "minus"), whole)

    def named_tolerances(
        self, names: tuple[str, str, str], whole: Fraction | None
    ) -> tuple[Fraction, Fraction]:
        """Tolerances under other names, both ways or one by one, mm."""
        both, up, down = names
        tol = self.plain_length(both)
        plus = self.plain_length(up)
        minus = self.plain_length(down)
        if tol is not None and (plus is not None or minus is not None):
            self._wrong(both, f"Give {both}, or {up} and {down}, not both.")
        above = tol if plus is None else plus
        below = tol if minus is None else minus
        if whole is not None and below is not None and below > whole:
            field = both if minus is None else down
            self._wrong(
                field,
                f"The tolerance {self._shown(below)} is larger than the "
                f"{self._shown(whole)} it belongs to.",
                code="tolerance_too_large",
            )
        return above or Fraction(0), below or Fraction(0)

    def items(self, name: str, *, required: bool, most: int) -> list[object]:
        """A list of at most `most` items."""
        value = self._take(name, required=required)
        if value is None:
            return []
        if not isinstance(value, list | tuple):
            self._wrong(name, f"{name} is a list.")
            return []
        if len(value) > most:
            self._wrong(
                name, f"{name} has {len(value)} items; at most {most}.", code="too_many"
            )
            return []
        return list(value)

    def part(self, name: str) -> Mapping[str, object] | None:
        """A nested object."""
        value = self._take(name, required=True)
        if value is None or isinstance(value, Mapping):
            return value
        self._wrong(name, f"{name} is an object.")
        return None

    def allow(self, names: Iterable[str]) -> None:
        """Fields that are known although this form does not read them."""
        self.known.extend(names)

    def refuse_unknown(self) -> None:
        """Note every member that no field has asked for."""
        for name in self.raw:
            if name not in self.known:
                near = self._in_our_unit(str(name)) or nearest(str(name), self.known)
                hint = f" Is {near} meant?" if near else ""
                self._wrong(
                    str(name),
                    f"{name} is not a field here.{hint}",
                    code="unknown_field",
                    remedy=near,
                )

    def _in_our_unit(self, name: str) -> str | None:
        other = "mm" if self.inch else "in"
        if name != other and not name.endswith(f"_{other}"):
            return None
        ours = name[: -len(other)] + self.suffix
        return ours if ours in self.known else None

    def _take(self, name: str, *, required: bool) -> object:
        self.known.append(name)
        value = self.raw.get(name)
        if value is None and required:
            self._wrong(name, f"{name} is required.", code="required")
        return value

    def _number(self, name: str, value: object) -> Fraction | None:
        number = exact(value)
        if number is None:
            self._wrong(name, f"{name} is a number.", code="not_a_number")
        elif not isinstance(value, Fraction) and (number * _FINEST).denominator != 1:
            self._wrong(
                name,
                f"{name} has more than {DECIMALS} decimals.",
                code="too_fine",
                remedy=figure(number, DECIMALS),
            )
            return None
        return number

    def _sane(self, field: str, number: Fraction, *, positive: bool) -> Fraction | None:
        value = number * self.scale
        if value < 0 or (positive and value == 0):
            wanted = "greater than nought" if positive else "not negative"
            self._wrong(field, f"{field} is {wanted}.", code="out_of_range")
            return None
        if value > LONGEST_MM:
            self._wrong(
                field,
                f"{field} is {self._shown(value)}; at most {self._shown(LONGEST_MM)}.",
                code="out_of_range",
            )
            return None
        return value

    def _shown(self, value_mm: Fraction) -> str:
        return f"{figure(value_mm / self.scale)} {self.suffix}"

    def _wrong(
        self,
        name: str,
        detail: str,
        *,
        code: str = "invalid",
        remedy: str | None = None,
    ) -> None:
        self.problems.add(join(self.pointer, name), detail, code=code, remedy=remedy)


def exact(value: object) -> Fraction | None:
    """The exact value of a number as typed, or None where it is none.

    A binary float stands for the shortest decimal that prints as it, which is what
    was typed.
    """
    if isinstance(value, bool):
        return None
    if isinstance(value, Fraction):
        return value
    if isinstance(value, int):
        return Fraction(max(-_BEYOND, min(_BEYOND, value)))
    if isinstance(value, float):
        return Fraction(repr(value)) if math.isfinite(value) else None
    if isinstance(value, Number):
        value = value.decimal
    if isinstance(value, Decimal):
        return _from_decimal(value)
    return None


def _from_decimal(value: Decimal) -> Fraction | None:
    # Beyond these exponents the exact fraction would be a number of that many
    # digits, which nobody typed in good faith.
    if not value.is_finite() or abs(value.adjusted()) > LONGEST_EXPONENT:
        return None
    return Fraction(value)
