"""Price lists: what blanks, hands and machines cost by the shop file."""

from decimal import Decimal

import msgspec

from shared.files.shop import parse_shop
from shared.prices import PriceList
from tests.making import large_shop, shop, shop_data

PRICES = shop().price_list


def test_a_blank_costs_what_its_size_costs_or_else_what_the_item_costs() -> None:
    assert [PRICES.blank_cost("heavy tee", size) for size in ("2XL", "XS")] == [Decimal("3.10"), Decimal("2.00")]


def test_what_a_blank_costs_that_the_shop_does_not_have_is_not_known() -> None:
    assert PRICES.blank_cost("top hat", "M") is None


def test_a_machine_costs_what_its_station_costs() -> None:
    prices = large_shop().price_list
    assert [prices.machine_hour("colour", "printer 2"), prices.machine_hour("cure", "press 1")] == [7, 4]


def test_where_the_station_is_not_known_the_first_that_does_the_step_counts() -> None:
    prices = large_shop().price_list
    assert prices.machine_hour("colour") == prices.machine_hour("colour", "sold printer") == 6


def test_a_machine_of_a_step_that_nobody_does_costs_nothing() -> None:
    assert PRICES.machine_hour("varnish") == 0


def test_hands_cost_what_their_badge_says_or_what_the_shop_says() -> None:
    assert [PRICES.hands_hour(badge) for badge in ("A", "B", "Zoe", None)] == [Decimal("19.50"), 18, 18, 18]


def test_a_price_list_is_the_same_when_it_comes_back_from_a_ledger() -> None:
    assert msgspec.json.decode(msgspec.json.encode(PRICES), type=PriceList) == PRICES


def test_shops_that_differ_in_their_prices_alone_have_other_price_lists() -> None:
    renamed = parse_shop({**shop_data(), "shop": {**shop_data()["shop"], "name": "another name"}})
    dearer = parse_shop(shop_data(prices={**shop_data()["prices"], "pretreat_per_kg": "14.01"}))
    assert renamed.price_list == PRICES != dearer.price_list
