"""What each station takes next, and why."""

from datetime import timedelta

import pytest
from hypothesis import given

from floor.core.plan.outlook import outlook
from floor.core.plan.turns import SHOWN, Turn, turns
from floor.core.plan.wet import wet_queue
from shared.files.shop import parse_shop
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, LIGHT_WALK, MONDAY, Play, large_shop, shop_data, walk

SOON, LATER = MONDAY + timedelta(hours=6), MONDAY + timedelta(days=1)


def next_at(play: Play, station: str) -> list[tuple[str, str]]:
    return [(turn.piece, turn.why) for turn in all_turns(play)[station]]


def all_turns(play: Play) -> dict[str, list[Turn]]:
    return turns(outlook(play.floor, play.shop, play.now), play.floor, play.shop, play.now)


@pytest.fixture
def play() -> Play:
    return Play(parse_shop(shop_data(badges=[])))


def test_every_station_has_its_turns_though_nothing_waits_for_it(play: Play) -> None:
    assert all_turns(play) == {name: [] for name in play.shop.stations}


def test_the_only_piece_that_waits_is_next(play: Play) -> None:
    [piece] = play.job()
    assert next_at(play, "pretreat booth") == [(piece, "nothing else waits")]


def test_the_job_due_first_is_next_and_the_others_say_when_they_are_due(play: Play) -> None:
    [later] = play.job(due=LATER)
    [soon] = play.job(due=SOON)
    assert next_at(play, "pretreat booth") == [(soon, "due first"), (later, "due Tue 09:00")]


def test_a_wet_piece_says_when_it_dries_out(play: Play) -> None:
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:1])
    assert next_at(play, "press 1") == [(piece, "dries out at 09:21")]


def test_a_piece_that_was_wet_for_too_long_says_so(play: Play) -> None:
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:1])
    play.now += timedelta(seconds=1_200)
    assert next_at(play, "press 1") == [(piece, "wet for too long")]


def test_a_print_that_the_press_takes_at_once_keeps_it_fed(play: Play) -> None:
    one, other = play.job(colour="white", sizes={"M": 2})
    assert next_at(play, "printer 1") == [(one, "keeps the press fed"), (other, "keeps the press fed")]


def test_pieces_of_one_job_follow_each_other(play: Play) -> None:
    one, other = play.job(sizes={"M": 2})
    assert next_at(play, "pretreat booth") == [(one, "next of its job"), (other, "next of its job")]


def test_a_few_are_named_however_many_wait(play: Play) -> None:
    codes = play.job(sizes={"M": 9})
    assert [code for code, _ in next_at(play, "pretreat booth")] == codes[:SHOWN]


def test_a_piece_in_a_press_waits_for_nothing(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:5])
    assert next_at(play, "press 1") == []


def test_two_printers_take_a_piece_each() -> None:
    play = Play(large_shop())
    one, other = play.job(colour="white", sizes={"M": 2})
    assert [next_at(play, name)[0][0] for name in ("printer 1", "printer 2")] == [one, other]


def test_a_reason_is_said_in_the_shops_language() -> None:
    play = Play(parse_shop(shop_data(badges=[], shop={**shop_data()["shop"], "language": "de"})))
    [later] = play.job(due=LATER)
    assert next_at(play, "pretreat booth") == [(later, "sonst wartet nichts")]
    [soon] = play.job(due=SOON)
    assert next_at(play, "pretreat booth") == [(soon, "zuerst fällig"), (later, "fällig Di. 09:00")]


@given(days)
def test_the_presses_take_what_the_press_queue_says_when_it_says_so(acts: list[Act]) -> None:
    play = played(acts)
    queue = [wet.piece for wet in wet_queue(outlook(play.floor, play.shop, play.now), play.now) if wet.expected_in]
    starts = {
        piece.code: stays[0].starts_s for piece, stays in outlook(play.floor, play.shop, play.now).stays() if stays
    }
    assert sorted(queue, key=lambda code: (starts[code], queue.index(code))) == queue


@given(days)
def test_no_reason_is_longer_than_five_words(acts: list[Act]) -> None:
    assert all(len(turn.why.split()) <= 5 for its in all_turns(played(acts)).values() for turn in its)


@given(days)
def test_each_piece_waits_for_one_station_that_does_its_step(acts: list[Act]) -> None:
    play = played(acts)
    named = [(station, turn.piece) for station, its in all_turns(play).items() for turn in its]
    assert len({piece for _, piece in named}) == len(named)
    for station, code in named:
        step = play.piece(code).step
        assert step is not None
        assert play.shop.does(station, step.key)


def test_a_print_for_which_the_press_is_not_free_in_time_is_next_of_its_job_and_feeds_none(play: Play) -> None:
    data = shop_data(badges=[])
    data["routes"]["light garment"][1]["min_s"] = 3_600
    play = Play(parse_shop(data))
    inside, *_ = play.job(colour="white", sizes={"M": 3})
    walk(play, inside, LIGHT_WALK[:2])
    assert {why for _, why in next_at(play, "printer 1")} == {"next of its job"}
