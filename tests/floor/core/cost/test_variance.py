"""Why the actual cost differs from the quote: by price, by quantity, to the cent."""

from collections.abc import Iterable
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.cost.variance import Compared, Flexed, Variance, compared, differences, parts_of, sums_of
from shared.money import ELEMENTS, Charge, Element, rounded

CENT = Decimal("0.01")


def charge(quantity: str, price: str, element: Element = "garment", what: str = "blank") -> Charge:
    return Charge(element=element, step=what, quantity=Decimal(quantity), price=Decimal(price))


def compare(actual: Iterable[Charge], standard: Iterable[Flexed], unit: Decimal = CENT) -> Compared:
    return compared(differences(sums_of((each, 1) for each in actual), sums_of(standard)), unit)


def one(actual: Charge, standard: Charge, good: int = 1) -> Variance:
    return compare([actual], [(standard, good)]).variance[actual.element]


def test_what_costs_what_was_quoted_has_no_variance() -> None:
    assert one(charge("3", "2.60"), charge("3", "2.60")) == Variance(Decimal(0), Decimal(0))


def test_a_dearer_price_is_a_price_variance_of_what_was_used() -> None:
    assert one(charge("10", "2.50"), charge("10", "2.00")) == Variance(price=Decimal("5.00"), quantity=Decimal(0))


def test_more_of_it_is_a_quantity_variance_at_the_price_that_was_quoted() -> None:
    assert one(charge("12", "2.00"), charge("10", "2.00")) == Variance(price=Decimal(0), quantity=Decimal("4.00"))


def test_both_at_once_are_told_apart() -> None:
    # AQ × (AP − SP) = 12 × 0.50; SP × (AQ − SQ) = 2.00 × 2
    assert one(charge("12", "2.50"), charge("10", "2.00")) == Variance(price=Decimal(6), quantity=Decimal(4))


def test_below_nothing_is_favourable() -> None:
    assert one(charge("8", "1.50"), charge("10", "2.00")) == Variance(price=Decimal(-4), quantity=Decimal(-4))


def test_the_quote_is_flexed_to_the_good_pieces() -> None:
    found = compare([charge("5", "2.00")], [(charge("1", "2.00"), 5)])
    assert (found.quoted["total"], found.total) == (Decimal("10.00"), Decimal(0))


def test_prices_are_compared_with_those_of_the_same_thing() -> None:
    actual = [charge("1", "20", "labour", "pack"), charge("2", "18", "labour", "cure")]
    standard = [(charge("1", "18", "labour", "pack"), 1), (charge("1", "18", "labour", "cure"), 1)]
    assert compare(actual, standard).variance["labour"] == Variance(price=Decimal(2), quantity=Decimal(18))


def test_two_prices_of_one_kind_are_compared_at_their_mean() -> None:
    """AQ × (AP − SP) = 2 × (18 − 20) = −4, and as many hours as were quoted."""
    actual = [charge("1", "16", "labour", "pack"), charge("1", "20", "labour", "pack")]
    standard = [(charge("2", "20", "labour", "pack"), 1)]
    assert compare(actual, standard).variance["labour"] == Variance(price=Decimal(-4), quantity=Decimal(0))


def test_what_was_not_quoted_is_a_quantity_variance() -> None:
    found = compare([charge("2", "3.00")], [])
    assert found.variance["garment"] == Variance(price=Decimal(0), quantity=Decimal("6.00"))


def test_what_was_quoted_and_not_used_is_a_quantity_variance() -> None:
    found = compare([], [(charge("2", "3.00"), 1)])
    assert found.variance["garment"] == Variance(price=Decimal(0), quantity=Decimal("-6.00"))


def test_spoilage_has_no_quantity_to_price_and_is_all_quantity() -> None:
    actual, standard = (
        charge("1", "7.00", "spoilage", "spoiled pieces"),
        charge("0.03", "5.00", "spoilage", "allowance"),
    )
    assert one(actual, standard, 10) == Variance(price=Decimal(0), quantity=Decimal("5.50"))


def test_every_element_has_its_variance() -> None:
    assert tuple(compare([], []).variance) == ELEMENTS


@pytest.mark.parametrize("unit", [Decimal("0.01"), Decimal(1), Decimal("0.001")])
def test_variances_are_in_the_currency_s_smallest_unit(unit: Decimal) -> None:
    found = compare([charge("1.337", "2.713")], [(charge("1.1", "2.9"), 3)], unit)
    assert all(part % unit == 0 for each in found.variance.values() for part in (each.price, each.quantity))


quantities = st.decimals(0, 1000, places=4)
prices = st.decimals(0, 100, places=4)
charges = st.builds(
    Charge, element=st.sampled_from(ELEMENTS), step=st.sampled_from(["a", "b"]), quantity=quantities, price=prices
)
flexed = st.tuples(charges, st.integers(0, 50))


def parts(found: Compared) -> Decimal:
    return sum((each.price + each.quantity for each in found.variance.values()), Decimal(0))


@given(st.lists(charges, max_size=12), st.lists(flexed, max_size=12))
def test_all_variances_add_up_to_actual_less_flexed_quote_to_the_cent(
    actual: list[Charge], standard: list[tuple[Charge, int]]
) -> None:
    found = compare(actual, standard)
    assert parts(found) == found.total
    assert found.actual["total"] == rounded(sum((each.amount for each in actual), Decimal(0)))
    assert found.quoted["total"] == rounded(sum((each.amount * n for each, n in standard), Decimal(0)))


@given(st.lists(charges, max_size=12), st.lists(flexed, max_size=12))
def test_each_element_s_variances_add_up_to_its_own_difference(
    actual: list[Charge], standard: list[tuple[Charge, int]]
) -> None:
    found = compare(actual, standard)
    for element, variance in found.variance.items():
        difference = found.actual[element] - found.quoted[element]
        assert variance.price + variance.quantity == difference


@given(quantities, prices, st.decimals("0.1", 1000, places=4), prices)
def test_both_variances_are_the_textbook_s(aq: Decimal, ap: Decimal, sq: Decimal, sp: Decimal) -> None:
    """Exactly; as they are shown, so that they add up, each is off by a cent, and its share of what the totals are."""
    actual, standard = charge(str(aq), str(ap)), charge(str(sq), str(sp))
    [exact] = differences(sums_of([(actual, 1)]), sums_of([(standard, 1)]))
    assert (exact.price, exact.quantity) == (aq * (ap - sp), sp * (aq - sq))
    found = one(actual, standard)
    assert abs(found.price - exact.price) <= CENT * 3 / 2
    assert abs(found.quantity - exact.quantity) <= CENT * 3 / 2


@given(st.lists(charges, max_size=6), st.lists(flexed, max_size=6))
def test_what_differs_by_exactly_nothing_is_shown_as_nothing(
    actual: list[Charge], standard: list[tuple[Charge, int]]
) -> None:
    exact: dict[Element, list[Decimal]] = {element: [Decimal(0), Decimal(0)] for element in ELEMENTS}
    found = differences(sums_of((each, 1) for each in actual), sums_of(standard))
    for each in found:
        exact[each.kind.element][0] += each.price
        exact[each.kind.element][1] += each.quantity
    for element, variance in compared(found).variance.items():
        price, quantity = exact[element]
        assert price or variance.price == 0
        assert quantity or variance.quantity == 0


@given(st.lists(charges, max_size=6), st.lists(flexed, max_size=6))
def test_each_kind_of_charge_has_variances_that_add_up_exactly(
    actual: list[Charge], standard: list[tuple[Charge, int]]
) -> None:
    found = differences(sums_of((each, 1) for each in actual), sums_of(standard))
    done, planned = (
        sum((each.amount * n for each, n in its), Decimal(0)) for its in ([(c, 1) for c in actual], standard)
    )
    assert sum((each.total for each in found), Decimal(0)) == done - planned


def test_a_price_that_cannot_be_told_exactly_leaves_the_sum_exact() -> None:
    standard = [(charge("1", "2.00"), 1), (charge("2", "3.00"), 1)]  # a mean price of 2.666 …
    [found] = differences(sums_of([(charge("1", "2.50"), 1)]), sums_of(standard))
    assert found.price + found.quantity == found.total == Decimal("-5.50")


@given(st.lists(st.decimals(-1000, 1000, places=5), min_size=1, max_size=20), st.integers(-1, 1))
def test_what_stands_beneath_a_figure_adds_up_to_it(exact: list[Decimal], off: int) -> None:
    figure = rounded(sum(exact, Decimal(0))) + off * CENT
    shown = parts_of(figure, exact, CENT)
    assert sum(shown) == figure
    assert all(abs(part - each) <= 2 * CENT for part, each in zip(shown, exact, strict=True))
