"""When jobs can be expected to be finished, worked out by hand.

A dark garment takes 90 + 150 + 15 + 140 + 200 + 20 = 615 s, of which 290 s at a printer and 200 s at a press; a light
one 95 + 80 + 20 = 195 s.
"""

from datetime import datetime, timedelta

import pytest
from hypothesis import given

from floor.plan.forecast import expected_finishes
from shared.codes import CodeType
from shared.shop import parse_shop
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, MONDAY, Play, card, large_shop, shop_data, walk


def expected_s(play: Play) -> dict[str, float]:
    finishes = expected_finishes(play.floor, play.shop, play.now)
    return {job: (finish - play.now).total_seconds() for job, finish in finishes.items()}


def test_one_piece_takes_as_long_as_its_walk() -> None:
    play = Play()
    play.job()
    assert expected_s(play) == {"J0001": 615}


def test_a_job_is_not_finished_before_its_last_piece() -> None:
    play = Play()
    one, _ = play.job(sizes={"M": 2})
    walk(play, one, DARK_WALK[:6])
    assert expected_s(play) == {"J0001": 615}


def test_many_pieces_take_as_long_as_their_busiest_station() -> None:
    play = Play()
    play.job(sizes={"M": 10})
    assert expected_s(play) == {"J0001": 10 * 290}


def test_two_printers_halve_the_work_of_each() -> None:
    play = Play(large_shop())
    play.job(sizes={"M": 10})
    assert expected_s(play) == {"J0001": 10 * 290 / 2}


def test_what_is_done_is_no_longer_ahead() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    assert expected_s(play) == {"J0001": 220}


def test_a_job_waits_for_the_jobs_that_are_due_before_it() -> None:
    play = Play()
    play.job(sizes={"M": 10}, due=MONDAY + timedelta(days=1))
    play.job(sizes={"M": 5}, due=MONDAY + timedelta(days=2))
    assert expected_s(play) == {"J0001": 2900, "J0002": 4350}


def test_the_later_job_does_not_hold_up_the_earlier_one() -> None:
    play = Play()
    play.job(sizes={"M": 10}, due=MONDAY + timedelta(days=2))
    play.job(sizes={"M": 5}, due=MONDAY + timedelta(days=1))
    assert expected_s(play) == {"J0002": 1450, "J0001": 4350}


def test_a_job_does_not_wait_for_stations_that_it_does_not_need() -> None:
    data = shop_data()
    data["routes"]["hard goods"] = ["pack"]
    play = Play(parse_shop(data))
    play.job(sizes={"M": 10}, due=MONDAY + timedelta(days=1))
    play.job(item="ceramic tile 15 cm", colour="white", due=MONDAY + timedelta(days=2))
    assert expected_s(play)["J0002"] == 11 * 20


def test_a_spoiled_piece_is_made_anew_from_the_start() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    play.scan(card(CodeType.REASON, "stain"), "printer 1", after_s=5)
    assert expected_s(play) == {"J0001": 615}


def test_a_held_job_is_not_expected_and_holds_up_nobody() -> None:
    play = Play()
    play.job(sizes={"M": 10}, due=MONDAY + timedelta(days=1))
    play.job(due=MONDAY + timedelta(days=2))
    play.hold("J0001")
    assert expected_s(play) == {"J0002": 615}


def test_a_finished_job_is_not_expected() -> None:
    play = Play()
    [piece] = play.job()
    walk(play, piece)
    assert expected_s(play) == {}


def test_work_goes_on_when_the_shop_opens_again() -> None:
    play = Play()
    play.now = datetime.fromisoformat("2026-11-23T16:55:00-05:00")
    play.job()
    finish = expected_finishes(play.floor, play.shop, play.now)["J0001"]
    assert finish == datetime.fromisoformat("2026-11-24T08:05:15-05:00")


def test_a_step_that_no_station_does_any_more_is_not_waited_for_in_a_queue() -> None:
    play = Play()
    play.job(sizes={"M": 3})
    data = shop_data()
    data["stations"] = [each for each in data["stations"] if each["name"] != "pretreat booth"]
    data["routes"]["dark garment"] = data["routes"]["dark garment"][1:]
    play.shop = parse_shop(data)
    assert expected_s(play) == {"J0001": pytest.approx(3 * 290)}


@given(days)
def test_every_job_with_open_pieces_that_is_not_held_is_expected(acts: list[Act]) -> None:
    play = played(acts)
    open_jobs = {piece.job for piece in play.floor.open.values()}
    finishes = expected_finishes(play.floor, play.shop, play.now)
    assert finishes.keys() == {code for code in open_jobs if not play.floor.jobs[code].held}
    assert all(finish >= play.now for finish in finishes.values())
