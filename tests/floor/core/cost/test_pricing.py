"""Prices: for a margin, by the shop file's breaks, and the margin that a price gives."""

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.cost.pricing import at_margin, listed_price, margin_share, price_for, rounded_up, without_prices
from shared.files.jobfile import parse_job
from shared.files.shop import Shop, parse_shop
from tests.making import job_data, shop, shop_data

CENT = Decimal("0.01")
COST = Decimal("52.00")
"""Of ten pieces together: 5.20 each, and at a margin of a half 10.40."""


def listing(*breaks: dict[str, Any], margin: str | None = "0.5") -> Shop:
    prices = {**shop_data()["prices"], **({"margin": margin} if margin else {})}
    return parse_shop(shop_data(prices=prices, breaks=list(breaks)))


def listed(its_shop: Shop, quantity: int = 10, item: str = "heavy tee") -> Decimal:
    return listed_price(its_shop, item, quantity, COST * quantity / 10)


@pytest.mark.parametrize(
    ("amount", "up"), [("1.001", "1.01"), ("1.00", "1.00"), ("1.009", "1.01"), ("0", "0"), ("0.0000001", "0.01")]
)
def test_a_price_is_rounded_up_and_never_down(amount: str, up: str) -> None:
    assert rounded_up(Decimal(amount), CENT) == Decimal(up)


def test_a_margin_is_a_share_of_the_price_and_not_of_the_cost() -> None:
    assert price_for(COST, 10, Decimal("0.5"), CENT) == Decimal("10.40")
    assert margin_share(Decimal("10.40"), Decimal("5.20")) == Decimal("0.5000")


def test_without_a_margin_the_price_is_the_cost() -> None:
    assert price_for(COST, 10, Decimal(0), CENT) == Decimal("5.20")


def test_a_currency_without_cents_gets_prices_without_cents() -> None:
    assert price_for(Decimal(521), 10, Decimal("0.5"), Decimal(1)) == 105


def test_the_margin_share_is_told_to_a_hundredth_of_a_per_cent() -> None:
    assert margin_share(Decimal(3), Decimal(2)) == Decimal("0.3333")


def test_what_is_given_away_has_no_margin_share() -> None:
    assert margin_share(Decimal(0), Decimal(2)) is None


# The shop file's price


def test_the_shop_file_s_margin_makes_a_price() -> None:
    assert listed(listing()) == Decimal("10.40")


@pytest.mark.parametrize(("quantity", "price"), [(23, "10.40"), (24, "9.88"), (99, "9.88"), (100, "9.36")])
def test_a_break_holds_from_its_quantity_on_until_the_next(quantity: int, price: str) -> None:
    its_shop = listing({"from_pieces": 24, "off": "0.05"}, {"from_pieces": 100, "off": "0.10"})
    assert listed(its_shop, quantity) == Decimal(price)


def test_the_order_of_the_breaks_in_the_file_does_not_matter() -> None:
    breaks = [{"from_pieces": 100, "off": "0.10"}, {"from_pieces": 24, "off": "0.05"}]
    assert listed(listing(*breaks), 100) == listed(listing(*reversed(breaks)), 100) == Decimal("9.36")


def test_a_break_for_an_item_goes_before_one_for_all() -> None:
    its_shop = listing(
        {"from_pieces": 24, "off": "0.20"}, {"from_pieces": 12, "item": "heavy tee", "price_each": "9.90"}
    )
    assert listed(its_shop, 24) == Decimal("9.90")
    assert listed(its_shop, 24, item="golf ball") == Decimal("8.32")


def test_a_price_for_an_item_needs_no_margin() -> None:
    its_shop = listing({"from_pieces": 1, "item": "heavy tee", "price_each": "9.90"}, margin=None)
    assert listed(its_shop) == Decimal("9.90")


def test_what_is_off_is_rounded_in_the_shop_s_favour() -> None:
    assert listed(listing({"from_pieces": 1, "off": "0.0501"})) == Decimal("9.88")  # 9.87896


def test_a_price_that_nothing_makes_is_a_mistake_of_the_program() -> None:
    with pytest.raises(ValueError, match="no margin"):
        listed(listing(margin=None))


# What if


def test_a_shop_at_a_margin_gives_nothing_off() -> None:
    asked = at_margin(listing({"from_pieces": 1, "off": "0.5"}), Decimal("0.6"))
    assert listed(asked) == Decimal("13.00")
    assert asked.name == shop().name


def test_a_job_without_prices_keeps_all_the_rest() -> None:
    job = parse_job(job_data(), shop())
    stripped = without_prices(job)
    assert [line.price_each for line in stripped.lines] == [None]
    assert stripped.lines[0].prints == job.lines[0].prints


costs = st.decimals("0.000000001", 1_000_000, places=9)
margins = st.decimals(0, "0.9999", places=4)


@given(costs, st.integers(1, 5000), margins, st.sampled_from([CENT, Decimal(1), Decimal("0.001")]))
def test_the_asked_margin_is_met_and_a_unit_less_would_not_meet_it(
    cost: Decimal, quantity: int, margin: Decimal, unit: Decimal
) -> None:
    def kept(price: Decimal) -> bool:
        return price * quantity - cost >= margin * price * quantity

    price = price_for(cost, quantity, margin, unit)
    assert price % unit == 0
    assert kept(price)
    assert not kept(price - unit)


@given(costs, st.integers(1, 5000), margins)
def test_the_share_that_is_told_is_never_less_than_was_asked(cost: Decimal, quantity: int, margin: Decimal) -> None:
    told = margin_share(price_for(cost, quantity, margin, CENT) * quantity, cost)
    assert told is not None
    assert Decimal(told) >= margin
