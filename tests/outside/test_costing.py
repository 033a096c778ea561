"""Variances as textbooks of cost accounting work them out; above zero is unfavourable.

Sources, each from memory where it says so and worked through again here by price (AP − SP) × AQ and quantity
(AQ − SQ) × SP: an exercise of a principles-of-accounting textbook (direct materials, with its published solution);
OpenStax, *Principles of Accounting, Volume 2: Managerial Accounting*, sections 8.2 and 8.3 (from memory); the
ice-cream case of the open text *Accounting for Managers* (from memory).
"""

from decimal import Decimal

import pytest

from floor.cost.variance import Variance, compared
from shared.money import Charge, Element


def variance(
    element: Element, actual: tuple[str, str], standard: tuple[str, str], good: int = 1
) -> tuple[Variance, Decimal]:
    """Quantity and price as they were, and as they should have been for each good one; the parts and their total."""
    done, planned = (
        Charge(element=element, what="it", quantity=Decimal(quantity), price=Decimal(price))
        for quantity, price in (actual, standard)
    )
    found = compared([done], [(planned, good)])
    return found.variance[element], found.total


def test_materials_of_a_principles_text() -> None:
    """450 at 6.50 were used, 430 at 6.90 should have been: price 180 F, quantity 138 U, together 42 F."""
    parts, total = variance("garment", ("450", "6.50"), ("430", "6.90"))
    assert (parts.price, parts.quantity, total) == (Decimal(-180), Decimal(138), Decimal(-42))


def test_materials_of_openstax_8_2() -> None:
    """20 lb at 9.00 against 25 lb at 7.00: price 40 U, quantity 35 F, together 5 U (from memory)."""
    parts, total = variance("garment", ("20", "9.00"), ("25", "7.00"))
    assert (parts.price, parts.quantity, total) == (Decimal(40), Decimal(-35), Decimal(5))


def test_labour_of_openstax_8_3() -> None:
    """A box takes 0.10 h at 7.50 against 0.12 h at 8.00: rate .05 F, efficiency .16 F, together .21 F (from memory)."""
    parts, total = variance("labour", ("0.10", "7.50"), ("0.12", "8.00"))
    assert (parts.price, parts.quantity, total) == (Decimal("-0.05"), Decimal("-0.16"), Decimal("-0.21"))


def test_labour_of_the_ice_cream_case() -> None:
    """18,900 h at 15 against 21,000 h at 13: rate 37,800 U, efficiency 27,300 F (from memory)."""
    parts, total = variance("labour", ("18900", "15"), ("21000", "13"))
    assert (parts.price, parts.quantity, total) == (Decimal(37_800), Decimal(-27_300), Decimal(10_500))


def test_the_standard_is_flexed_to_what_was_made_before_it_is_compared() -> None:
    """The same labour, as 0.1 h for each of the 210,000 units that were made (from memory)."""
    parts, _ = variance("labour", ("18900", "15"), ("0.1", "13"), good=210_000)
    assert parts == Variance(price=Decimal(37_800), quantity=Decimal(-27_300))


@pytest.mark.parametrize(("actual", "standard"), [(("450", "6.50"), ("430", "6.90")), (("20", "9.00"), ("25", "7.00"))])
def test_price_and_quantity_leave_no_rest(actual: tuple[str, str], standard: tuple[str, str]) -> None:
    parts, total = variance("garment", actual, standard)
    paid, planned = (Decimal(quantity) * Decimal(price) for quantity, price in (actual, standard))
    assert parts.price + parts.quantity == total == paid - planned
