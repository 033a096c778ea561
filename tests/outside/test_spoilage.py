"""Spoilage as textbooks of cost accounting work it out: normal in the cost of the good pieces, abnormal told apart.

Source: Datar and Rajan, *Horngren's Cost Accounting: A Managerial Emphasis*, 16th edition, pages 750 and 751 (a job of
50 parts, of which 5 are spoiled after 2,000 each; they bring 600 each); and a common textbook example of a process with
normal and abnormal spoilage, no one source. A part is a blank that costs all of it: nothing else in the shop costs
anything. What a spoiled part brings is taken off its blank, for the floor sells no spoiled pieces.
"""

from datetime import timedelta
from decimal import Decimal
from typing import Any

from floor.core.cost.quantities import blank
from floor.core.cost.quote import good_piece
from floor.core.figures.data import JobWeek
from floor.core.figures.week import week_report
from shared.events.prices import StockReceived
from shared.files.shop import Shop, parse_shop
from shared.money import by_element, rounded
from tests.making import Play, shop_data

CENT = Decimal("0.01")


def a_shop(cost: str, allowance: str) -> Shop:
    """A shop that only packs, for nothing, what it buys at a cost."""
    data = shop_data(prices={"spoilage_allowance": allowance})
    data["items"]["heavy tee"]["cost"] = cost
    data["routes"] = {name: ["pack"] for name in data["routes"]}
    data["steps"]["pack"] = {**data["steps"]["pack"], "touch_s": 0, "uses": {}}
    return parse_shop(data)


def received(play: Play, quantity: int, cost: str) -> None:
    event: Any = {"item": "heavy tee", "colour": "navy", "size": "M", "currency": "USD"}
    play.now += timedelta(seconds=1)
    play.happens(StockReceived(quantity=quantity, cost_each=Decimal(cost), **event))


def job_of(play: Play, good: int, spoiled: int) -> JobWeek:
    """Begin and spoil so many pieces, and finish so many, remakes among them."""
    pieces = play.job(sizes={"M": good})
    for _ in range(spoiled):
        play.scan(pieces[0], "packing", after_s=3)
        pieces[0] = play.spoil(pieces[0], "packing", after_s=3).remake or ""
    for piece in pieces:
        play.scan(piece, "packing", after_s=3)
    [job] = week_report(play.floor, play.shop, "2026-W48", play.now).jobs
    assert (job.finished, job.spoiled) == (good, spoiled)
    return job


def test_normal_spoilage_that_the_job_caused_is_borne_by_its_good_pieces() -> None:
    """(50 × 2,000 − 5 × 600) / 45 = 2,155.56."""
    play = Play(a_shop("2000", "0.08"))
    received(play, 5, "1400")
    received(play, 45, "2000")
    job = job_of(play, good=45, spoiled=5)
    assert job.abnormal_spoilage == 0
    assert rounded(job.actual["total"] / 45, CENT) == Decimal("2155.56")


def test_normal_spoilage_that_is_common_to_all_jobs_is_borne_by_a_rate() -> None:
    """50 for each good part, as the allowance: (45 × 2,000 + 45 × 50) / 45 = 2,050.00."""
    its_shop = a_shop("2000", "0.025")
    quoted = by_element(good_piece(its_shop, blank(Decimal(2000)), []))
    assert sum(quoted.values()) == Decimal("2050.00")
    assert 45 * sum(quoted.values()) == Decimal("92250.00")


def test_abnormal_spoilage_is_in_no_good_piece() -> None:
    """550 parts for 2,200: 500 good, 30 normal, 20 abnormal; 530 × 4 = 2,120 go on, 80 are a loss."""
    job = job_of(Play(a_shop("4", "0.06")), good=500, spoiled=50)
    assert (job.actual["total"], job.abnormal_spoilage) == (Decimal("2120.00"), Decimal("80.00"))
