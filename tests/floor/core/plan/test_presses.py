"""The press queue: what is in the presses, what waits wet, when each goes in and when it comes out."""

from datetime import datetime, timedelta

import pytest

from floor.core.plan.outlook import outlook
from floor.core.plan.presses import InPress, in_presses, wet_deadline
from floor.core.plan.wet import Wet, wet_queue
from shared.codes import CodeType
from shared.files.cards import UNDO
from shared.files.shop import parse_shop
from tests.making import DARK_WALK, LIGHT_WALK, MONDAY, Play, card, large_shop, shop_data, shop_holding, walk

PRINTED = DARK_WALK[:4]
PRESSED = DARK_WALK[:5]


def seconds(moment: datetime | None, since: datetime) -> float | None:
    return None if moment is None else (moment - since).total_seconds()


def queue(play: Play) -> list[Wet]:
    return wet_queue(outlook(play.floor, play.shop, play.now), play.now)


def presses(play: Play) -> list[InPress]:
    return in_presses(play.floor, play.shop, play.now)


@pytest.fixture
def play() -> Play:
    return Play()


# In the presses


def test_every_press_has_a_line_though_it_is_empty() -> None:
    assert presses(Play(large_shop())) == [InPress(station="press 1"), InPress(station="press 2")]


def test_a_closed_press_counts_down(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    closed = play.now
    play.now += timedelta(seconds=50)
    [press] = presses(play)
    assert (press.piece, press.closed_since, press.seconds_left) == (piece, closed, 130)
    assert press.opens_at == closed + timedelta(seconds=180)


def test_a_press_over_its_time_counts_below_nothing(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    play.now += timedelta(seconds=200)
    assert presses(play)[0].seconds_left == -20


def test_a_press_that_was_opened_too_early_counts_on(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    play.scan(piece, "press 1", after_s=100)
    [press] = presses(play)
    assert (press.piece, press.seconds_left) == (piece, 80)


def test_a_press_is_empty_when_its_piece_came_out(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:6])
    assert presses(play) == [InPress(station="press 1")]


def test_a_press_is_not_free_because_the_piece_in_it_is_spoiled(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    closed = play.now
    play.spoil(piece, "inspection", "scorch")
    [press] = presses(play)
    assert (press.piece, press.closed_since, press.seconds_left, press.take_out) == (piece, closed, 175, True)
    play.scan(piece, "press 1", after_s=10)
    assert presses(play) == [InPress(station="press 1")]


def test_a_press_is_not_free_because_the_job_of_the_piece_in_it_is_given_up(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    play.cancel()
    [press] = presses(play)
    assert (press.piece, press.seconds_left, press.take_out) == (piece, 180, True)


def test_what_is_wet_is_expected_in_the_press_when_that_can_be_opened_though_what_is_in_it_is_spoiled() -> None:
    play = Play()
    one, other = play.job(sizes={"M": 2})
    walk(play, other, PRINTED)
    walk(play, one, PRESSED)
    opens = presses(play)[0].opens_at
    play.spoil(one, "inspection")
    [wet] = queue(play)
    assert opens
    assert wet.expected_in == opens + timedelta(seconds=20)


def test_a_press_in_which_another_piece_was_closed_since_was_opened(play: Play) -> None:
    play = Play(shop_holding(None))
    one, other = play.job(sizes={"M": 2})
    for piece in (one, other):
        walk(play, piece, PRINTED)
    play.scan(one, "press 1", after_s=20)
    play.spoil(one, "inspection")
    play.scan(other, "press 1", after_s=20)
    assert [(press.piece, press.take_out) for press in presses(play)] == [(other, False)]


def test_a_piece_that_is_not_spoiled_after_all_is_in_its_press_as_before(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    before = presses(play)[0].opens_at
    play.spoil(piece, "inspection", after_s=0)
    play.scan(card(CodeType.COMMAND, UNDO), "inspection", after_s=5)
    [press] = presses(play)
    assert (press.piece, press.opens_at, press.take_out) == (piece, before, False)


def test_what_was_taken_out_is_in_the_press_again_when_that_is_taken_back(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    play.spoil(piece, "inspection")
    play.scan(piece, "press 1", after_s=5)
    answer = play.scan(card(CodeType.COMMAND, UNDO), "press 1", after_s=5)
    assert answer.say == f"Taken back: {piece} is still in press 1."
    assert [(press.piece, press.take_out) for press in presses(play)] == [(piece, True)]


def test_a_spoiling_is_not_taken_back_when_the_piece_was_taken_out_since(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    play.spoil(piece, "inspection")
    play.scan(piece, "press 1", after_s=5)
    answer = play.scan(card(CodeType.COMMAND, UNDO), "inspection", after_s=5)
    assert answer.say == f"Piece {piece} has gone on since. Take back the later read first."
    assert play.piece(piece).state == "spoiled"


def test_a_press_is_closed_on_a_spoiled_piece_in_whatever_order_that_is_told(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    closed = play.now + timedelta(seconds=20)
    play.spoil(piece, "inspection", after_s=60)
    play.scan(piece, "press 1", at=closed)
    [press] = presses(play)
    assert (press.piece, press.closed_since, press.take_out) == (piece, closed, True)


def test_two_small_pieces_in_one_press_have_a_line_each_the_first_to_open_first() -> None:
    play = Play(shop_holding(2))
    one, other = play.job(colour="white", sizes={"M": 2})
    for code in (one, other):
        play.scan(code, "printer 1", after_s=95)
    for code in (other, one):
        play.scan(code, "press 1", after_s=20)
    assert [press.piece for press in presses(play)] == [other, one]


# What is wet


def test_a_piece_is_wet_from_colour_printed_to_press_closed(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    printed = play.now
    play.now += timedelta(seconds=90)
    [wet] = queue(play)
    assert (wet.piece, wet.step, wet.since, wet.wet_s, wet.limit_s) == (piece, "cure", printed, 90, 1200)
    play.scan(piece, "press 1")
    assert queue(play) == []


def test_a_piece_that_was_not_printed_yet_is_not_wet(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:3])
    assert queue(play) == []


def test_a_piece_whose_first_step_is_in_a_press_is_not_wet() -> None:
    data = shop_data()
    data["routes"]["light garment"] = ["cure", "pack"]
    play = Play(parse_shop(data))
    play.job(colour="white")
    assert queue(play) == []


def test_wet_ink_of_a_held_job_stays_in_the_queue(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    play.hold()
    assert [wet.piece for wet in queue(play)] == [piece]


def test_a_spoiled_piece_leaves_the_queue(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    play.spoil(piece, "printer 1", "ink smear")
    assert queue(play) == []


def test_the_limit_runs_out_so_long_after_the_print(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    assert wet_deadline(play.piece(piece)) == play.now + timedelta(seconds=1200)


def test_in_a_press_there_is_no_deadline(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRESSED)
    assert wet_deadline(play.piece(piece)) is None


def test_a_print_of_the_future_has_been_wet_for_no_time(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, PRINTED)
    play.now -= timedelta(seconds=60)
    assert queue(play)[0].wet_s == 0


def test_without_a_limit_there_is_no_deadline() -> None:
    data = shop_data()
    del data["steps"]["cure"]["wait_limit_s"]
    play = Play(parse_shop(data))
    [piece] = play.job()
    walk(play, piece, PRINTED)
    assert wet_deadline(play.piece(piece)) is None
    assert queue(play)[0].limit_s is None


# When they go in and come out, by hand: 20 s to load, then 180 s (dark) or 60 s (light) in the press


def printed(play: Play, *codes: str) -> None:
    """Print pieces of a light job one after the other, ten seconds apart."""
    for code in codes:
        play.scan(code, "printer 1", after_s=10)


def expected(play: Play) -> list[tuple[str, float | None, float | None]]:
    return [(wet.piece, seconds(wet.expected_in, play.now), seconds(wet.expected_out, play.now)) for wet in queue(play)]


def test_one_press_takes_one_piece_after_the_other(play: Play) -> None:
    a, b, c = play.job(colour="white", sizes={"M": 3})
    printed(play, a, b, c)
    assert expected(play) == [(a, 20, 80), (b, 100, 160), (c, 180, 240)]


def test_two_presses_take_turns() -> None:
    play = Play(large_shop())
    a, b, c = play.job(colour="white", sizes={"M": 3})
    printed(play, a, b, c)
    assert expected(play) == [(a, 20, 80), (b, 20, 80), (c, 100, 160)]


def test_the_queue_waits_for_what_is_in_the_press(play: Play) -> None:
    a, b = play.job(colour="white", sizes={"M": 2})
    printed(play, a, b)
    play.scan(a, "press 1", after_s=20)
    play.now += timedelta(seconds=25)
    assert expected(play) == [(b, 35 + 20, 35 + 20 + 60)]


def test_a_press_over_its_time_is_taken_as_free_now(play: Play) -> None:
    a, b = play.job(colour="white", sizes={"M": 2})
    printed(play, a, b)
    play.scan(a, "press 1", after_s=20)
    play.now += timedelta(seconds=100)
    assert expected(play) == [(b, 20, 80)]


def test_the_press_that_is_free_first_takes_the_next_piece() -> None:
    play = Play(large_shop())
    dark = play.job(sizes={"M": 1})[0]
    walk(play, dark, PRINTED)
    a, b, c = play.job(colour="white", sizes={"M": 3})
    printed(play, a, b, c)
    play.scan(dark, "press 1", after_s=20)
    play.scan(a, "press 2", after_s=10)
    # press 1 opens in 170 s, press 2 in 60 s: b 60+20 to 140, then press 2 is free before press 1: c 140+20 to 220
    assert expected(play) == [(b, 80, 140), (c, 160, 220)]


def test_a_long_cure_in_the_first_press_sends_the_third_piece_to_the_second() -> None:
    play = Play(large_shop())
    [dark] = play.job(sizes={"M": 1})
    walk(play, dark, PRINTED)
    a, b = play.job(colour="white", sizes={"M": 2})
    printed(play, a, b)
    assert expected(play) == [(dark, 20, 200), (a, 20, 80), (b, 100, 160)]


def test_without_a_press_nothing_is_expected() -> None:
    play = Play()
    [piece] = play.job(colour="white")
    printed(play, piece)
    play.shop = parse_shop(shop_data(**without_a_press()))
    [wet] = queue(play)
    assert (wet.expected_in, wet.expected_out) == (None, None)


def without_a_press() -> dict[str, object]:
    data = shop_data()
    routes = {name: ["colour", "pack"] for name in data["routes"]}
    return {"routes": routes, "stations": [each for each in data["stations"] if each["name"] != "press 1"]}


# The order


def test_the_wet_limit_goes_before_the_due_time() -> None:
    play = Play()
    [first] = play.job(colour="white", due=MONDAY + timedelta(days=9))
    [later] = play.job(colour="white", due=MONDAY + timedelta(days=1))
    printed(play, first, later)
    assert [wet.piece for wet in queue(play)] == [first, later]


def test_of_two_that_are_wet_since_the_same_moment_the_one_due_first_goes_first() -> None:
    play = Play(large_shop())
    [other] = play.job(colour="white", due=MONDAY + timedelta(days=9))
    [urgent] = play.job(colour="white", due=MONDAY + timedelta(days=1))
    at = MONDAY + timedelta(minutes=5)
    play.scan(other, "printer 1", at=at)
    play.scan(urgent, "printer 2", at=at)
    play.now = at
    assert [wet.piece for wet in queue(play)] == [urgent, other]


def test_a_piece_without_a_wet_limit_goes_after_those_that_have_one() -> None:
    data = shop_data()
    data["steps"]["slow cure"] = {**data["steps"]["cure"], "min_s": 60}
    del data["steps"]["slow cure"]["wait_limit_s"]
    data["routes"]["hard goods"] = ["colour", "slow cure", "pack"]
    next(each for each in data["stations"] if each["name"] == "press 1")["steps"].append("slow cure")
    play = Play(parse_shop(data))
    [tile] = play.job(item="ceramic tile 15 cm", colour="white", due=MONDAY + timedelta(minutes=1))
    [tee] = play.job(colour="white")
    printed(play, tile, tee)
    assert [wet.piece for wet in queue(play)] == [tee, tile]


def test_of_two_without_a_limit_and_with_one_due_time_the_longest_waiting_goes_first() -> None:
    data = shop_data()
    del data["steps"]["cure"]["wait_limit_s"]
    play = Play(parse_shop(data))
    a, b = play.job(colour="white", sizes={"M": 2})
    printed(play, b, a)
    assert [wet.piece for wet in queue(play)] == [b, a]


def test_a_walk_at_the_standard_is_never_over_the_wet_limit(play: Play) -> None:
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:1])
    assert queue(play)[0].wet_s < 1200
