"""The week's money: quoted, actual, and why they differ.

A dark tee is quoted at 5.24, of which 0.15 for spoilage, and sold at 21.50.
"""

from datetime import timedelta
from decimal import Decimal

import pytest
from hypothesis import given

from floor.core.figures.data import JobWeek
from floor.core.figures.week import week_report
from floor.core.folds.fold import fold_all
from shared.codes import CodeType
from shared.files.cards import SIGN_OUT
from shared.files.shop import parse_shop
from shared.money import ELEMENTS
from tests.floor.core.cost.using import used
from tests.floor.core.figures.weeks import WEEK, report, spoil
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, MONDAY, Play, card, shop_data, walk


@pytest.fixture
def play() -> Play:
    return Play()


def test_a_piece_walked_at_the_standard_costs_its_quote_less_the_allowance(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    [job] = report(play).jobs
    assert (job.quoted["total"], job.actual["total"], job.variance_total) == (
        Decimal("5.24"),
        Decimal("5.09"),
        Decimal("-0.15"),
    )
    assert (job.price, job.margin_quoted, job.margin_made) == (Decimal("21.50"), Decimal("16.26"), Decimal("16.41"))


def test_only_finished_pieces_are_quoted_and_priced(play: Play) -> None:
    one, other, third = play.job(sizes={"M": 3})
    walk(play, one)
    walk(play, other, DARK_WALK[:3])
    spoil(play, third)
    [job] = report(play).jobs
    assert (job.quoted["total"], job.price) == (Decimal("5.24"), Decimal("21.50"))


def test_spoilage_within_the_allowance_is_part_of_the_job_s_cost(play: Play) -> None:
    pieces = play.job(sizes={"M": 20})
    play.scan(pieces[0], "pretreat booth", after_s=90)
    remake = spoil(play, pieces[0])
    for code in (remake, *pieces[1:]):
        walk(play, code)
    [job] = report(play).jobs
    # a blank, 24 g of pretreat and 90 s of hands: 2.00 + 0.336 + 0.45 + 0.2375
    assert (job.actual["spoilage"], job.abnormal_spoilage) == (Decimal("3.02"), Decimal(0))
    assert job.quoted["spoilage"] > Decimal("3.02")


def test_spoilage_above_the_allowance_is_a_line_of_its_own(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece)
    remake = spoil(play, piece, "packing")
    play.now += timedelta(hours=1)
    walk(play, remake, (("pretreat booth", 90), *DARK_WALK[1:]))
    [job] = report(play).jobs
    assert (job.finished, job.spoiled) == (1, 1)
    assert job.actual["spoilage"] == job.quoted["spoilage"] == Decimal("0.15")
    assert job.abnormal_spoilage == Decimal("4.94")  # 5.0911 less 0.1527
    assert job.margin_made == job.price - job.actual["total"] - Decimal("4.94")


def test_what_was_spoiled_is_held_against_the_allowance_of_the_whole_job_finished_or_not(play: Play) -> None:
    [piece] = play.job()
    play.scan(piece, "pretreat booth", after_s=90)
    spoil(play, piece)
    [job] = report(play).jobs
    assert (job.actual["total"], job.abnormal_spoilage) == (Decimal("0.15"), Decimal("2.87"))


def test_a_job_that_spans_weeks_has_one_allowance(play: Play) -> None:
    """Ten pieces are quoted with 1.527 for spoilage; two are spoiled after pretreating, which had cost 3.0235 each."""
    pieces = play.job(sizes={"M": 10})
    weeks = []
    for n, piece in enumerate(pieces[:2]):
        play.now = MONDAY + timedelta(weeks=n)
        play.scan(piece, "pretreat booth", after_s=90)
        spoil(play, piece)
        [job] = week_report(play.floor, play.shop, play.shop.hours.week_of(play.now), play.now).jobs
        weeks.append((job.actual["spoilage"], job.abnormal_spoilage))
    assert weeks == [(Decimal("1.53"), Decimal("1.50")), (Decimal("0.00"), Decimal("3.02"))]


def test_a_piece_that_was_spoiled_before_anything_was_done_costs_its_blank(play: Play) -> None:
    [piece] = play.job()
    spoil(play, piece)
    [job] = report(play).jobs
    assert (job.spoiled, job.abnormal_spoilage) == (1, Decimal("1.85"))


def test_dearer_hands_are_a_price_variance(play: Play) -> None:
    [piece] = play.job()
    play.scan(card(CodeType.BADGE, "A"), "packing", after_s=0)
    walk(play, piece)
    [job] = report(play).jobs
    # 20 s at 1.50 an hour more
    assert (job.variance["labour"].price, job.variance["labour"].quantity) == (Decimal("0.01"), Decimal(0))


def test_slower_hands_are_a_quantity_variance(play: Play) -> None:
    play.badge = "B"
    one, other = play.job(sizes={"M": 2})
    play.scan(one, "pretreat booth", after_s=90)
    play.scan(other, "pretreat booth", after_s=90 + 80)
    walk(play, other, DARK_WALK[1:])
    [job] = report(play).jobs
    # 80 s at 18.00 an hour, and overhead at 9.50 on them
    assert (job.variance["labour"].price, job.variance["labour"].quantity) == (Decimal(0), Decimal("0.40"))
    assert job.variance["overhead"].quantity == Decimal("0.21")


def test_pieces_that_were_given_up_are_a_line_of_their_own_and_the_margin_bears_them(play: Play) -> None:
    begun, _ = play.job(sizes={"M": 2})
    play.scan(begun, "pretreat booth", after_s=90)
    play.cancel()
    found = report(play)
    [job] = found.jobs
    assert (job.finished, job.spoiled, job.given_up, job.given_up_cost) == (0, 0, 1, Decimal("3.02"))
    assert (job.actual["total"], job.margin_made) == (Decimal("0.00"), Decimal("-3.02"))
    assert found.says == "J0001 lost 3.02 USD in 1 piece that was given up."


def test_a_job_that_was_given_up_before_it_was_begun_is_not_in_the_week_s_money(play: Play) -> None:
    play.job()
    play.cancel()
    assert report(play).jobs == []


def test_paid_hours_that_went_into_no_piece_are_told_and_in_no_job(play: Play) -> None:
    play.scan(card(CodeType.BADGE, "A"), "pretreat booth", after_s=0)
    [piece] = play.job()
    walk(play, piece)
    play.scan(card(CodeType.COMMAND, SIGN_OUT), "pretreat booth", after_s=3600)
    found = report(play)
    ash, nobody = found.hands
    assert (ash.badge, nobody.badge, nobody.paid_s) == ("A", None, nobody.absorbed_s)
    assert (ash.absorbed_s, ash.unattributed) == (90, ash.paid - ash.absorbed)
    assert ash.paid > Decimal(19)
    assert found.total.actual["labour"] < Decimal(2)


def test_jobs_stand_in_the_order_of_their_numbers_and_add_up(play: Play) -> None:
    for code in [*play.job(), *play.job(colour="white")]:
        walk(play, code, DARK_WALK if code == "1000000161" else DARK_WALK[3:])
    found = report(play)
    assert [job.job for job in found.jobs] == ["J0001", "J0002"]
    assert found.total.quoted["total"] == sum(job.quoted["total"] for job in found.jobs)
    assert found.total.margin_made == sum(job.margin_made for job in found.jobs)


def test_a_currency_without_cents_is_told_without() -> None:
    data = shop_data()
    data["shop"]["currency"] = "JPY"
    play = Play(parse_shop(data))
    [piece] = play.job(price_each="2150")
    walk(play, piece)
    [job] = report(play).jobs
    assert (job.price, job.actual["total"]) == (Decimal(2150), Decimal("5"))


def is_sound(job: JobWeek) -> None:
    """The sums that anyone may check with a pencil."""
    for costs in (job.quoted, job.actual):
        assert sum(Decimal(costs[element]) for element in ELEMENTS) == Decimal(costs["total"])
    variances = sum((each.price + each.quantity for each in job.variance.values()), Decimal(0))
    assert variances == job.variance_total == job.actual["total"] - job.quoted["total"]
    assert job.margin_quoted == job.price - job.quoted["total"]
    assert job.margin_made == job.margin_quoted - job.variance_total - job.abnormal_spoilage - job.given_up_cost
    assert sum(job.causes.values(), Decimal(0)) == job.variance_total


@given(days)
def test_every_job_and_the_total_are_sound_to_the_cent(acts: list[Act]) -> None:
    found = report(played(acts))
    for job in (*found.jobs, found.total):
        is_sound(job)


@given(days)
def test_pieces_jobs_and_the_week_add_up_to_one_sum(acts: list[Act]) -> None:
    play = played(acts)
    ended = [piece for piece in play.floor.pieces.values() if piece.state != "open"]
    spent = sum((charge.amount for piece in ended for charge in used(play.floor, play.shop, piece)), Decimal(0))
    found = report(play).total
    shown = found.actual["total"] + found.abnormal_spoilage + found.given_up_cost
    assert abs(shown - spent) <= Decimal("0.01") * 2 * len(play.floor.jobs)


@given(days)
def test_the_same_rows_give_the_same_report(acts: list[Act]) -> None:
    play = played(acts)
    assert week_report(fold_all(play.rows), play.shop, WEEK, play.now) == report(play)
