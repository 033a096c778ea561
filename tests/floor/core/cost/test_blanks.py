"""Blanks at what they were bought for: first in, first out."""

from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.cost.blanks import OnHand, on_hand, purchase_costs
from floor.core.orders.receiving import receive, stock_answer
from shared.events.prices import StockReceived
from shared.events.recorded import Fact
from shared.files.shop import parse_shop
from shared.money import by_element
from shared.wish import NotPossible
from tests.floor.core.cost.using import used
from tests.making import MONDAY, Play, shop, shop_data


def receipt(quantity: int, cost: str, size: str = "M", colour: str = "navy") -> StockReceived:
    return StockReceived(
        item="heavy tee", colour=colour, size=size, quantity=quantity, cost_each=Decimal(cost), currency="USD"
    )


def received(play: Play, quantity: int, cost: str, *, at: datetime | None = None, **wishes: str) -> None:
    play.record([Fact(event=receipt(quantity, cost, **wishes), occurred_at=at or play.now)])


def begun(play: Play, *pieces: str) -> None:
    for piece in pieces:
        play.scan(piece, "pretreat booth")


def garment(play: Play, piece: str) -> Decimal:
    return by_element(used(play.floor, play.shop, play.piece(piece)))["garment"]


def stock(play: Play) -> OnHand:
    [found] = on_hand(play.floor)
    return found


def test_the_blanks_that_came_in_first_are_drawn_first() -> None:
    play = Play()
    pieces = play.job(sizes={"M": 4})
    received(play, 2, "1.50")
    play.now += timedelta(minutes=1)
    received(play, 5, "1.80")
    begun(play, *pieces)
    assert [garment(play, piece) for piece in pieces] == [Decimal(cost) for cost in ("1.50", "1.50", "1.80", "1.80")]


def test_who_is_begun_first_draws_first_whatever_its_number() -> None:
    play = Play()
    one, other = play.job(sizes={"M": 2})
    received(play, 1, "1.50")
    received(play, 1, "1.80", at=play.now + timedelta(seconds=1))
    play.now += timedelta(minutes=1)
    begun(play, other)
    play.now += timedelta(minutes=1)
    begun(play, one)
    assert (garment(play, other), garment(play, one)) == (Decimal("1.50"), Decimal("1.80"))


def test_a_blank_that_nobody_received_costs_what_the_shop_file_says() -> None:
    play = Play()
    one, other = play.job(sizes={"M": 2})
    received(play, 1, "1.50")
    begun(play, one, other)
    assert (garment(play, one), garment(play, other)) == (Decimal("1.50"), Decimal("2.00"))
    assert (stock(play).drawn, stock(play).unreceived, stock(play).on_hand) == (1, 1, 0)


def test_what_comes_in_later_is_in_no_piece_that_was_begun_before() -> None:
    play = Play()
    one, other = play.job(sizes={"M": 2})
    begun(play, one)
    received(play, 5, "1.50", at=play.now + timedelta(seconds=1))
    begun(play, other)
    assert (garment(play, one), garment(play, other)) == (Decimal("2.00"), Decimal("1.50"))


def test_a_size_and_a_colour_are_blanks_of_their_own() -> None:
    play = Play()
    medium, large = play.job(sizes={"M": 1, "L": 1})
    received(play, 5, "1.50", size="L")
    received(play, 5, "1.00", colour="black")
    begun(play, medium, large)
    assert (garment(play, medium), garment(play, large)) == (Decimal("2.00"), Decimal("1.50"))


def test_a_spoiled_piece_has_used_its_blank_and_its_remake_draws_another() -> None:
    play = Play()
    [piece] = play.job()
    received(play, 1, "1.50")
    received(play, 1, "1.80", at=play.now + timedelta(seconds=1))
    begun(play, piece)
    remake = play.spoil(piece, "pretreat booth").remake or ""
    begun(play, remake)
    assert (garment(play, piece), garment(play, remake)) == (Decimal("1.50"), Decimal("1.80"))


def test_a_delivery_is_corrected_by_telling_it_again_for_the_same_moment() -> None:
    play = Play()
    [piece] = play.job()
    received(play, 10, "15.00")
    received(play, 10, "1.50")
    begun(play, piece)
    assert garment(play, piece) == Decimal("1.50")
    received(play, 0, "0", at=play.piece(piece).opened)
    assert garment(play, piece) == Decimal("2.00")


def test_what_is_on_hand_is_worth_what_it_cost() -> None:
    play = Play()
    pieces = play.job(sizes={"M": 3})
    received(play, 2, "1.50")
    received(play, 4, "1.80", at=play.now + timedelta(seconds=1))
    begun(play, *pieces)
    assert (stock(play).received, stock(play).on_hand, stock(play).worth) == (6, 3, Decimal("5.40"))
    assert stock_answer(play.floor, "USD").worth == Decimal("5.40")


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"item": "top hat"}, "no item 'top hat'"),
        ({"colour": "puce"}, "no colour 'puce'"),
        ({"cost_each": Decimal("1e9")}, "No blank costs"),
        ({"cost_each": Decimal("-1")}, "No blank costs"),
    ],
)
def test_what_the_shop_does_not_buy_is_refused(wrong: dict[str, object], said: str) -> None:
    wishes = {"item": "heavy tee", "colour": "navy", "size": "M", "cost_each": Decimal(1), **wrong}
    with pytest.raises(NotPossible, match=said):
        receive(shop(), StockReceived(quantity=1, currency="USD", **wishes), MONDAY)  # type: ignore[arg-type]


def test_a_size_that_the_item_does_not_come_in_is_refused() -> None:
    data = shop_data()
    data["items"]["heavy tee"]["sizes"] = ["M", "2XL", "3XL"]
    with pytest.raises(NotPossible, match="no size 'XS'; it has: M, 2XL, 3XL"):
        receive(parse_shop(data), receipt(1, "1.50", size="XS"), MONDAY)


deliveries = st.lists(st.tuples(st.integers(0, 300), st.integers(0, 4), st.decimals(0, 9, places=4)), max_size=8)


@given(deliveries, st.integers(0, 8))
def test_what_was_bought_is_in_pieces_or_on_hand(told: list[tuple[int, int, Decimal]], pieces: int) -> None:
    play = Play()
    begun(play, *play.job(sizes={"M": 9})[:pieces])
    for after_s, quantity, cost in told:
        received(play, quantity, str(cost), at=MONDAY + timedelta(seconds=after_s))
    bought = {after_s: quantity * cost for after_s, quantity, cost in told}  # the last of a moment counts
    drawn = sum(purchase_costs(play.floor).values(), Decimal(0))
    assert drawn + sum((each.worth for each in on_hand(play.floor)), Decimal(0)) == sum(bought.values(), Decimal(0))
