"""Variances as textbooks of cost accounting work them out; above zero is unfavourable.

Sources, each from memory where it says so and worked through again here by price (AP − SP) × AQ and quantity
(AQ − SQ) × SP: an exercise of a principles-of-accounting textbook (direct materials, with its published solution);
OpenStax, *Principles of Accounting, Volume 2: Managerial Accounting*, sections 8.2 and 8.3 (from memory); the
ice-cream case of the open text *Accounting for Managers* (from memory). Machine-hour rates are worked examples as
every textbook of cost accounting has them, no one source.
"""

from decimal import Decimal

import pytest

from floor.core.cost.quantities import labour, machine, overhead
from floor.core.cost.variance import Variance, compared, differences, sums_of
from shared.money import Charge, Element
from shared.prices import PriceList
from shared.route import Step

WORK = Step(key="work", event="worked", kind="machine", scans="out", if_missed="assume")
FIVE_AN_HOUR = PriceList(
    currency="USD",
    labour_per_hour=Decimal(13),
    overhead_per_labour_hour=Decimal(5),
    pretreat_per_kg=Decimal(0),
    white_ink_per_ml=Decimal(0),
    colour_ink_per_ml=Decimal(0),
    blanks={},
    blank_sizes={},
    hands={},
    machines={},
    steps={},
)


def variance(
    element: Element, actual: tuple[str, str], standard: tuple[str, str], good: int = 1
) -> tuple[Variance, Decimal]:
    """Quantity and price as they were, and as they should have been for each good one; the parts and their total."""
    done, planned = (
        Charge(element=element, step="it", quantity=Decimal(quantity), price=Decimal(price))
        for quantity, price in (actual, standard)
    )
    found = compared(differences(sums_of([(done, 1)]), sums_of([(planned, good)])))
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


def test_materials_of_the_ice_cream_case() -> None:
    """440,000 lb were bought at 1.20 against 1.00, price 88,000 U; 399,000 used against 420,000, quantity 21,000 F.

    The case takes the price variance when material is bought; so it is worked out of what was bought, and the quantity
    variance of what was used (from memory).
    """
    bought, _ = variance("pretreat", ("440000", "1.20"), ("440000", "1.00"))
    used, _ = variance("pretreat", ("399000", "1.00"), ("420000", "1.00"))
    assert (bought.price, used.quantity) == (Decimal(88_000), Decimal(-21_000))


def test_variable_overhead_of_the_ice_cream_case() -> None:
    """100,000 for 18,900 h, when 21,000 h at 5.00 should have done: spending 5,500 U, efficiency 10,500 F.

    Overhead that goes with the hours: the rate that was paid is 100,000 / 18,900 an hour (from memory).
    """
    paid = Charge(element="overhead", quantity=Decimal(18_900), price=Decimal(100_000) / 18_900)
    should = overhead(FIVE_AN_HOUR, [labour(WORK, 21_000 * 3600, Decimal(13))])
    found = compared(differences(sums_of([(paid, 1)]), sums_of([(should, 1)]))).variance["overhead"]
    assert found == Variance(price=Decimal(5_500), quantity=Decimal(-10_500))


@pytest.mark.parametrize(
    ("hours", "rate", "cost"),
    [
        (20_000, "0.50", 10_000),  # a machine for 11,500 that brings 1,500 as scrap
        (160, "3.875", 620),  # a month: 80 + rent 100 + staff 150 + other 290
        (2_000, "18.50", 37_000),  # a year: depreciation, repairs, power, oil, stores, wages
    ],
)
def test_the_hours_of_a_machine_at_its_rate_bear_what_it_costs(hours: int, rate: str, cost: int) -> None:
    """The rate is the cost by the hours in which it is used up; over those hours nothing is left or missing."""
    assert machine(WORK, hours * 3600, Decimal(rate)).amount == cost
    by_the_minute = [machine(WORK, 60, Decimal(rate)).amount for _ in range(60 * min(hours, 160))]
    assert abs(sum(by_the_minute) - min(hours, 160) * Decimal(rate)) < Decimal("0.01")


def test_the_standard_is_flexed_to_what_was_made_before_it_is_compared() -> None:
    """The same labour, as 0.1 h for each of the 210,000 units that were made (from memory)."""
    parts, _ = variance("labour", ("18900", "15"), ("0.1", "13"), good=210_000)
    assert parts == Variance(price=Decimal(37_800), quantity=Decimal(-27_300))


@pytest.mark.parametrize(("actual", "standard"), [(("450", "6.50"), ("430", "6.90")), (("20", "9.00"), ("25", "7.00"))])
def test_price_and_quantity_leave_no_rest(actual: tuple[str, str], standard: tuple[str, str]) -> None:
    parts, total = variance("garment", actual, standard)
    paid, planned = (Decimal(quantity) * Decimal(price) for quantity, price in (actual, standard))
    assert parts.price + parts.quantity == total == paid - planned
