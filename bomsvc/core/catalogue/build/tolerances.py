"""Tolerances: `tol` both ways, or `plus` and `minus`."""

from __future__ import annotations

from decimal import Decimal

from bomsvc.core.catalogue.finder import Finder
from bomsvc.core.catalogue.forms.records import Values
from bomsvc.core.terms.numbers import decimal_text

_NOUGHT = Decimal(0)


def tolerance(
    values: Values, size: str, finder: Finder, prefix: str = ""
) -> tuple[Decimal, Decimal]:
    """Return plus and minus of the field `size`, mm, both 0 or more.

    The record is left in its one canonical form: `tol` where both are alike,
    otherwise those of `plus` and `minus` that are not 0.
    """
    both, above, below = f"{prefix}tol", f"{prefix}plus", f"{prefix}minus"
    if values[above] is None and values[below] is None:
        plus = minus = values[both]
    else:
        _check_one_form(values, both, finder)
        plus, minus = values[above] or _NOUGHT, values[below] or _NOUGHT
    _check_size(values, size, minus, finder)
    alike = plus == minus
    values[both] = plus if alike else _NOUGHT
    values[above] = None if alike else plus or None
    values[below] = None if alike else minus or None
    return plus, minus


def _check_one_form(values: Values, both: str, finder: Finder) -> None:
    if values[both]:
        prefix = both.removesuffix("tol")
        says = f"write either {both}, or {prefix}plus and {prefix}minus, not both"
        finder.reading.report(values.at(both), "two_tolerances", says)


def _check_size(values: Values, size: str, minus: Decimal, finder: Finder) -> None:
    length = values[size]
    if minus and values.sound and (length is None or minus > length):
        shown = "not given" if length is None else decimal_text(length)
        told = decimal_text(minus)
        says = f"the tolerance {told} is larger than {size}, which is {shown}"
        finder.reading.report(values.at(size), "tolerance_too_large", says)
