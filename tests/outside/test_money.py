"""Rounding and sharing, against values that were worked out elsewhere."""

from decimal import ROUND_HALF_EVEN, Decimal

import pytest

from shared.money import minor_unit, rounded, rounded_parts

# Half-up (away from zero) against half-even, as the General Decimal Arithmetic Specification names the two modes.
ROUNDINGS = [
    ("0.125", "0.13", "0.12"),
    ("1.005", "1.01", "1.00"),
    ("2.665", "2.67", "2.66"),
    ("2.675", "2.68", "2.68"),
    ("-0.125", "-0.13", "-0.12"),
]


@pytest.mark.parametrize(("amount", "half_up", "half_even"), ROUNDINGS)
def test_amounts_round_half_up_which_is_not_what_bankers_do(amount: str, half_up: str, half_even: str) -> None:
    assert str(rounded(Decimal(amount))) == half_up
    assert str(Decimal(amount).quantize(Decimal("0.01"), ROUND_HALF_EVEN)) == half_even


# IEEE 754 binary64: 2.675 and 1.005 are stored as a little less, so binary numbers lose the cent.
@pytest.mark.parametrize(("amount", "in_binary"), [("2.675", 2.67), ("1.005", 1.0)])
def test_binary_numbers_would_lose_a_cent(amount: str, in_binary: float) -> None:
    assert round(float(amount), 2) == in_binary
    assert rounded(Decimal(amount)) > Decimal(str(in_binary))


# Largest remainder (Hamilton's method, as textbooks on apportionment give it); the values by hand.
def test_seven_over_fifty_thirty_twenty() -> None:
    """Quotas 3.5, 2.1 and 1.4: the seventh goes to the first."""
    assert rounded_parts([Decimal(50), Decimal(30), Decimal(20)], Decimal(1), Decimal(7)) == [4, 2, 1]


def test_a_dollar_over_three() -> None:
    assert rounded_parts([Decimal(1)] * 3, total=Decimal("1.00")) == [Decimal("0.34"), Decimal("0.33"), Decimal("0.33")]


def test_ten_dollars_over_six() -> None:
    assert rounded_parts([Decimal(1)] * 6, total=Decimal("10.00")) == [Decimal("1.67")] * 4 + [Decimal("1.66")] * 2


# ISO 4217, minor units.
@pytest.mark.parametrize(("currency", "unit"), [("USD", "0.01"), ("EUR", "0.01"), ("JPY", "1"), ("KWD", "0.001")])
def test_a_currency_has_the_minor_unit_of_its_standard(currency: str, unit: str) -> None:
    assert minor_unit(currency) == Decimal(unit)
