"""Money: rounded once, split without losing a cent."""

from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shared.money import ELEMENTS, Charge, by_element, minor_unit, rounded, rounded_parts, shown, summed

CENT = Decimal("0.01")
amounts = st.decimals(-10_000, 10_000, places=6)
shares = st.decimals(0, 10_000, places=4)
untied = st.lists(amounts, max_size=12, unique_by=lambda amount: (amount % CENT + CENT) % CENT)
"""Amounts of which no two are equally far above a whole cent."""
units = st.sampled_from([Decimal(1), CENT, Decimal("0.001")])
charges = st.builds(
    Charge, element=st.sampled_from(ELEMENTS), step=st.just("it"), quantity=amounts, price=st.decimals(0, 100, places=4)
)


def test_half_a_cent_is_rounded_away_from_zero() -> None:
    assert rounded(Decimal("0.125")) == Decimal("0.13")
    assert rounded(Decimal("-0.125")) == Decimal("-0.13")


def test_what_rounds_to_nothing_has_no_sign() -> None:
    assert str(rounded(Decimal("-0.004"))) == "0.00"
    assert [str(part) for part in rounded_parts([Decimal("-0.001"), Decimal("0.001")])] == ["0.00", "0.00"]


def test_yen_have_no_cents() -> None:
    assert str(rounded(Decimal("12.5"), minor_unit("JPY"))) == "13"


def test_a_quantity_and_its_price_are_kept_apart_and_their_amount_is_exact() -> None:
    pretreat = Charge(element="pretreat", step="pretreat", quantity=Decimal(24), price=Decimal("0.0145"))
    assert pretreat.amount == Decimal("0.348")


def test_a_cent_that_is_over_goes_to_the_largest_remainder() -> None:
    assert rounded_parts([Decimal("0.104"), Decimal("0.108"), Decimal("0.100")]) == [
        Decimal("0.10"),
        Decimal("0.11"),
        Decimal("0.10"),
    ]


def test_of_equal_remainders_the_earliest_gets_the_cent() -> None:
    assert rounded_parts([Decimal("0.005")] * 4) == [CENT, CENT, Decimal(0), Decimal(0)]


def test_shares_of_a_total_add_up_to_it_even_when_they_cannot_be_written_down() -> None:
    thirds = rounded_parts([Decimal(1)] * 3, total=Decimal("0.025"))
    assert sum(thirds) == Decimal("0.03")


def test_nothing_cannot_share_a_total() -> None:
    with pytest.raises(ValueError, match="cannot share"):
        rounded_parts([Decimal(0), Decimal(0)], total=Decimal(1))


def test_no_parts_have_no_cents() -> None:
    assert rounded_parts([]) == []


@given(st.lists(amounts, max_size=40), units)
def test_rounded_parts_add_up_to_their_rounded_total(parts: list[Decimal], unit: Decimal) -> None:
    assert sum(rounded_parts(parts, unit), Decimal(0)) == rounded(sum(parts, Decimal(0)), unit)


@given(st.lists(amounts, max_size=40), units)
def test_no_part_moves_by_a_whole_unit(parts: list[Decimal], unit: Decimal) -> None:
    assert all(abs(cents - exact) < unit for cents, exact in zip(rounded_parts(parts, unit), parts, strict=True))


@given(st.lists(amounts, max_size=40), units)
def test_every_part_is_a_whole_number_of_units(parts: list[Decimal], unit: Decimal) -> None:
    assert all(part % unit == 0 for part in rounded_parts(parts, unit))


@given(st.lists(shares, min_size=1, max_size=40), amounts, units)
def test_shares_add_up_to_the_rounded_total(parts: list[Decimal], total: Decimal, unit: Decimal) -> None:
    assume(any(parts))
    assert sum(rounded_parts(parts, unit, total), Decimal(0)) == rounded(total, unit)


@given(st.lists(shares, min_size=1, max_size=40), amounts)
def test_no_share_is_a_whole_cent_from_its_quota(parts: list[Decimal], total: Decimal) -> None:
    assume(any(parts))
    quotas = [total * part / sum(parts) for part in parts]
    assert all(
        abs(share - quota) < CENT for share, quota in zip(rounded_parts(parts, CENT, total), quotas, strict=True)
    )


@given(untied.flatmap(lambda parts: st.tuples(st.just(parts), st.permutations(parts))))
def test_the_order_of_parts_without_ties_changes_nothing(orders: tuple[list[Decimal], list[Decimal]]) -> None:
    one, other = (dict(zip(parts, rounded_parts(parts), strict=True)) for parts in orders)
    assert one == other


@given(amounts, st.integers(1, 40))
def test_equal_parts_differ_by_a_cent_at_most_and_the_earlier_ones_are_not_the_smaller(part: Decimal, n: int) -> None:
    cents = rounded_parts([part] * n)
    assert cents == sorted(cents, reverse=True)
    assert cents[0] - cents[-1] <= CENT


@given(st.lists(charges, max_size=20))
def test_what_is_shown_adds_up_to_the_total_that_is_shown(charges: list[Charge]) -> None:
    line = shown(by_element(charges))
    assert sum(line[element] for element in ELEMENTS) == line["total"]
    assert line["total"] == rounded(sum((charge.amount for charge in charges), Decimal(0)))


@given(st.lists(charges, max_size=20))
def test_no_amount_is_shown_as_less_than_nothing_when_it_is_nothing(charges: list[Charge]) -> None:
    assert "-0.00" not in map(str, shown(by_element(charges)).values())


@given(st.lists(charges, max_size=20))
def test_no_cent_is_shown_for_an_element_that_cost_nothing(charges: list[Charge]) -> None:
    sums = by_element(charges)
    line = shown(sums)
    assert all(line[element] == 0 for element in ELEMENTS if not sums[element])


def test_elements_are_always_shown_in_one_order_with_two_decimals_and_the_total_last() -> None:
    line = shown(by_element([Charge(element="labour", step="touch", quantity=Decimal(1), price=Decimal(2))]))
    assert list(line) == [*ELEMENTS, "total"]
    assert str(line["garment"]) == "0.00"
    assert str(line["labour"]) == str(line["total"]) == "2.00"


@given(st.lists(charges, max_size=20), st.integers(0, 20))
def test_sets_of_elements_add_up(charges: list[Charge], cut: int) -> None:
    assert summed([by_element(charges[:cut]), by_element(charges[cut:])]) == by_element(charges)
