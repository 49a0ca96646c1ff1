"""Numbers are kept as written and their values are exact."""

from __future__ import annotations

from decimal import Decimal

import pytest

from bomsvc.core.terms.numbers import Number, decimal_text, fixed_decimal


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("0.1", Decimal("0.1")),
        ("1e3", Decimal(1000)),
        ("+.5", Decimal("0.5")),
        ("5.", Decimal(5)),
        ("0x1F", Decimal(31)),
        ("0o17", Decimal(15)),
        ("00123", Decimal(123)),
        ("1e99999999999999999999", Decimal("Infinity")),
        ("-1e99999999999999999999", Decimal("-Infinity")),
    ],
)
def test_a_numbers_value_is_exact(text: str, value: Decimal) -> None:
    assert Number(text).decimal == value


def test_an_endless_hexadecimal_number_is_not_computed() -> None:
    assert Number("0x" + "F" * 1_000_000).decimal == Decimal("Infinity")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("2.000", "2"),
        ("0.030", "0.03"),
        ("1E+3", "1000"),
        ("100", "100"),
        ("1E-6", "0.000001"),
        ("-0.0", "0"),
        ("0E+5", "0"),
        ("-12.50", "-12.5"),
    ],
)
def test_decimals_are_printed_plainly(value: str, text: str) -> None:
    assert decimal_text(Decimal(value)) == text


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("34.0", Decimal(34)),
        ("0.000001", Decimal("0.000001")),
        ("0.0000010", Decimal("0.000001")),
        ("1e-6", Decimal("0.000001")),
        ("0e-99", Decimal(0)),
        ("999999.999999", Decimal("999999.999999")),
        ("-5", Decimal(-5)),
        ("1e5", Decimal(100000)),
        ("0.0000001", None),
        ("0.0000015", None),
        ("1.0000001", None),
        ("1000000", None),
        ("-1000000", None),
        ("1e999", None),
        ("1e-999999999999", None),
        ("1e99999999999999999999", None),
        ("9" * 10_000, None),
        ("9" * 2_000_000, None),
        ("0." + "1" * 10_000, None),
    ],
)
def test_figures_have_six_decimals_and_stay_below_a_million(
    text: str, value: Decimal | None
) -> None:
    assert fixed_decimal(text) == value
