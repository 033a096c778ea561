"""[[breaks]] and [quotation] of a shop file, as their owner may get them wrong."""

from typing import Any

import pytest

from shared.files.pricing import PriceBreak, break_for
from shared.files.problems import ProblemsFound
from shared.files.shop import parse_shop
from tests.making import shop_data


def told(**tables: Any) -> str:
    """The one thing that is said about a shop file with those tables."""
    with pytest.raises(ProblemsFound) as refused:
        parse_shop(shop_data(**tables))
    [problem] = refused.value.problems
    return problem.line().removeprefix("shop.toml: ")


@pytest.mark.parametrize(
    ("entry", "what"),
    [
        ({"from_pieces": 0, "off": "0.05"}, "breaks[0].from_pieces: found 0, allowed a whole number from 1"),
        ({"off": "0.05"}, "breaks[0].from_pieces: found nothing"),
        ({"from_pieces": 24}, "breaks[0].price_each: found nothing, allowed either off or price_each. Write: off ="),
        ({"from_pieces": 24, "off": "1"}, 'breaks[0].off: found "1", allowed a number, at least 0, below 1'),
        ({"from_pieces": 24, "off": "-0.05"}, 'breaks[0].off: found "-0.05", allowed a number, at least 0, below 1'),
        (
            {"from_pieces": 24, "off": "0.05", "item": "heavy tee", "price_each": "9"},
            'breaks[0].price_each: found "9", allowed either off or price_each',
        ),
        ({"from_pieces": 24, "price_each": "9"}, 'breaks[0].price_each: found "9", allowed a price for one item'),
        ({"from_pieces": 24, "item": "heavy tea", "off": "0.05"}, 'breaks[0].item: found "heavy tea", allowed a item'),
    ],
)
def test_a_break_that_makes_no_sense_is_refused_by_name(entry: dict[str, Any], what: str) -> None:
    assert told(breaks=[entry]).startswith(what)


def test_two_breaks_for_one_quantity_are_a_slip() -> None:
    entries = [{"from_pieces": 24, "off": "0.05"}, {"from_pieces": 24, "off": "0.10"}]
    assert told(breaks=entries).startswith("breaks[1].from_pieces: found 24 again, allowed one break for each quantity")


@pytest.mark.parametrize("margin", ["1", "1.5", "-0.1", "sixty", f"0.{'9' * 30}"])
def test_a_margin_is_a_share_below_one(margin: str) -> None:
    prices = {**shop_data()["prices"], "margin": margin}
    what = told(prices=prices)
    assert what.startswith(
        f'prices.margin: found "{margin}", allowed a number, at least 0, below 1, at most 4 decimals'
    )


def test_a_cost_for_a_size_that_the_item_does_not_come_in_is_refused() -> None:
    data = shop_data()
    data["items"]["heavy tee"] |= {"sizes": ["S", "M"], "size_cost": {"2XL": "3.10"}}
    assert told(**data).startswith('items."heavy tee".size_cost: found "2XL", allowed a size of its sizes: S, M')


def test_a_quotation_is_valid_for_a_day_at_least() -> None:
    assert told(quotation={"valid_days": 0}).startswith("quotation.valid_days: found 0, allowed a whole number from 1")


def test_no_break_is_reached_by_fewer_pieces_than_it_asks_for() -> None:
    assert break_for([PriceBreak.model_validate({"from_pieces": 24, "off": "0.05"})], "heavy tee", 23) is None
