"""Prices that were in force: what was done stays at the prices of its time, whatever the shop file says later."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from floor.core.orders.currency import OtherCurrency, check_currency
from floor.core.state.price_book import PriceBook
from floor.ledger import MemoryLedger
from floor.service.service import Service
from shared.clock import SetClock
from shared.events.prices import PricesSet
from shared.events.recorded import Fact
from shared.files.jobfile import parse_job
from shared.files.shop import Shop, parse_shop
from shared.money import by_element
from tests.floor.core.cost.using import used
from tests.making import DARK_WALK, MONDAY, Play, job_data, shop, shop_data, walk

HOUR = timedelta(hours=1)


def dearer(**prices: str) -> Shop:
    return parse_shop(shop_data(prices={**shop_data()["prices"], **prices}))


def told(play: Play, its_shop: Shop, at: datetime | None = None) -> None:
    """A second after what was scanned last: what is done at the very moment is at the new prices."""
    play.now += timedelta(seconds=1)
    play.record([Fact(event=PricesSet(prices=its_shop.price_list), occurred_at=at or play.now)])


def cost(play: Play, piece: str, element: Any) -> Decimal:
    return by_element(used(play.floor, play.shop, play.piece(piece)))[element]


def test_what_was_made_stays_at_the_prices_of_its_time() -> None:
    play = Play()
    told(play, play.shop)
    [piece] = play.job()
    walk(play, piece)
    before = used(play.floor, play.shop, play.piece(piece))
    play.now += HOUR
    play.shop = dearer(white_ink_per_ml="9.99", labour_per_hour="99.00", overhead_per_labour_hour="50.00")
    told(play, play.shop)
    assert used(play.floor, play.shop, play.piece(piece)) == before


def test_each_step_is_at_the_prices_that_were_in_force_when_it_was_done() -> None:
    play = Play()
    told(play, play.shop)
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:2])
    spent = cost(play, piece, "labour")
    told(play, dearer(labour_per_hour="36.00"))
    walk(play, piece, DARK_WALK[2:3])
    assert cost(play, piece, "labour") == spent + 2 * Decimal("0.004166667") * 18  # the 15 s of an inspection


def test_overhead_follows_the_hours_at_the_rate_that_was_in_force_when_they_were_worked() -> None:
    play = Play()
    told(play, play.shop)
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=90)
    told(play, dearer(overhead_per_labour_hour="19.00"))
    play.scan(piece, "printer 1", after_s=149)
    hours = {"pretreat": Decimal("0.025"), "underlayer": Decimal("0.008333333")}
    assert cost(play, piece, "overhead") == hours["pretreat"] * Decimal("9.50") + hours["underlayer"] * 19


def test_a_blank_is_at_the_prices_in_force_when_it_was_drawn() -> None:
    play = Play()
    told(play, play.shop)
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth")
    data = shop_data()
    data["items"]["heavy tee"]["cost"] = "2.25"
    told(play, parse_shop(data))
    play.scan(other, "pretreat booth")
    assert (cost(play, one, "garment"), cost(play, other, "garment")) == (Decimal("2.00"), Decimal("2.25"))


def test_a_scan_that_comes_late_is_at_the_prices_of_when_it_was_made() -> None:
    play = Play()
    told(play, play.shop)
    [piece] = play.job()
    at = play.now + timedelta(minutes=5)
    play.now += HOUR
    told(play, dearer(pretreat_per_kg="99.00"))
    play.scan(piece, "pretreat booth", at=at)
    assert cost(play, piece, "pretreat") == Decimal("0.336")


def test_an_old_ledger_without_prices_is_at_those_of_the_shop_file() -> None:
    play = Play(dearer(pretreat_per_kg="28.00"))
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    assert cost(play, piece, "pretreat") == Decimal("0.672")


def test_what_was_done_before_any_price_was_told_is_at_the_first_that_was() -> None:
    play = Play()
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    told(play, play.shop)
    told(play, dearer(pretreat_per_kg="99.00"), at=play.now + HOUR)
    assert cost(play, piece, "pretreat") == Decimal("0.336")


def test_prices_that_are_in_force_are_not_told_again() -> None:
    book = PriceBook()
    [fact] = book.found(shop().price_list, MONDAY)
    assert fact.occurred_at == MONDAY
    book.tell(MONDAY, 1, shop().price_list)
    assert book.found(shop().price_list, MONDAY + HOUR) == []
    assert len(book.found(dearer(pretreat_per_kg="14.01").price_list, MONDAY + HOUR)) == 1


def test_of_two_price_lists_of_one_moment_the_later_row_holds() -> None:
    book = PriceBook()
    for seq, its_shop in ((2, dearer(pretreat_per_kg="2.00")), (1, shop())):
        book.tell(MONDAY, seq, its_shop.price_list)
    found = book.at(MONDAY)
    assert found is not None
    assert found.pretreat_per_kg == 2


# The running floor


def take(service: Service) -> None:
    service.take(parse_job(job_data(), service.shop))


def prices_told(ledger: MemoryLedger) -> int:
    return sum(isinstance(row.event, PricesSet) for row in ledger.rows())


def test_an_empty_ledger_stays_empty_when_a_floor_starts() -> None:
    ledger = MemoryLedger()
    with Service(shop(), ledger, SetClock(MONDAY)):
        assert ledger.head() == 0


def test_the_first_job_is_taken_with_the_prices_that_are_in_force() -> None:
    ledger = MemoryLedger()
    with Service(shop(), ledger, SetClock(MONDAY)) as service:
        take(service)
        take(service)
    assert prices_told(ledger) == 1


def test_a_floor_that_starts_with_another_shop_file_tells_its_prices_once() -> None:
    ledger, clock = MemoryLedger(), SetClock(MONDAY)
    with Service(shop(), ledger, clock) as service:
        take(service)
    for _ in range(2):
        with Service(dearer(pretreat_per_kg="99.00"), ledger, clock) as service, service.reading() as floor:
            assert floor.prices.told[-1][2].pretreat_per_kg == 99
    assert prices_told(ledger) == 2


# Currency


def in_currency(currency: str) -> Shop:
    data = shop_data()
    data["shop"]["currency"] = currency
    return parse_shop(data)


def test_a_floor_does_not_start_where_amounts_would_get_another_currency() -> None:
    ledger, clock = MemoryLedger(), SetClock(MONDAY)
    with Service(shop(), ledger, clock) as service:
        take(service)
    rows = ledger.head()
    with (
        pytest.raises(OtherCurrency, match="the ledger has amounts in USD"),
        Service(in_currency("EUR"), ledger, clock),
    ):
        pass
    assert ledger.head() == rows


def test_a_currency_may_be_chosen_while_there_are_no_amounts() -> None:
    play = Play()
    told(play, play.shop)
    check_currency(play.floor, "EUR")
    told(play, in_currency("EUR"))
    assert [prices.currency for _, _, prices in play.floor.prices.told] == ["EUR"]
