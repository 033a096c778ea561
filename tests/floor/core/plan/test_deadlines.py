"""When the next alarm falls due, and what is found by whoever looks late, or twice."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.plan.alarms import changes, next_deadline, standing
from shared.events.floor import AlarmCleared, AlarmRaised
from shared.files.shop import parse_shop
from tests.floor.core.plan.pressing import look, pressed, printed
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, LIGHT_WALK, MONDAY, Play, shop_data, walk


@pytest.fixture
def play() -> Play:
    """A shop without care tasks, so that only what is printed gives alarms."""
    return Play(parse_shop(shop_data(care=[])))


def due_in(play: Play) -> float | None:
    deadline = next_deadline(play.floor, play.shop, play.now)
    return None if deadline is None else (deadline - play.now).total_seconds()


def test_the_next_deadline_moves_with_the_piece(play: Play) -> None:
    [piece] = play.job(colour="white")
    seen = [due_in(play)]
    for station, after_s in LIGHT_WALK:
        play.scan(piece, station, after_s=after_s)
        seen.append(due_in(play))
    assert seen == [None, 1200, 60, None, None]


def test_after_a_press_is_done_the_next_deadline_is_that_it_is_over_time(play: Play) -> None:
    pressed(play)
    play.now += timedelta(seconds=60)
    assert due_in(play) == 60
    play.now += timedelta(seconds=60)
    assert due_in(play) is None


def test_the_earliest_of_all_deadlines_is_the_next() -> None:
    play = Play()
    play.now -= timedelta(hours=7.9)
    play.job()
    play.now = MONDAY
    printed(play)
    assert due_in(play) == pytest.approx(8 * 3600 - 7.9 * 3600 - 95)


# Again and again


@given(days, st.floats(0, 100_000))
def test_looking_twice_at_one_moment_finds_nothing_new(acts: list[Act], after_s: float) -> None:
    play = played(acts)
    look(play, after_s)
    assert changes(play.floor, play.shop, play.now) == []


@given(days, st.floats(0, 100_000))
def test_a_floor_that_slept_finds_the_same_alarms_as_one_that_was_watched(acts: list[Act], after_s: float) -> None:
    watched, asleep = played(acts), played(acts)
    end = watched.now + timedelta(seconds=after_s)
    while (deadline := next_deadline(watched.floor, watched.shop, watched.now)) and deadline <= end:
        watched.now = deadline
        look(watched)
    for play in (watched, asleep):
        play.now = end
        look(play)
    assert watched.floor.alarms.keys() == asleep.floor.alarms.keys()


@given(days, st.floats(0, 100_000), st.floats(0, 1))
def test_between_two_deadlines_no_alarm_of_wet_press_or_care_comes_or_goes(
    acts: list[Act], after_s: float, part: float
) -> None:
    play = played(acts)
    start = play.now + timedelta(seconds=after_s)
    end = next_deadline(play.floor, play.shop, start) or start + timedelta(days=30)
    between = start + part * (end - start)
    assert timed(play, start) == timed(play, min(between, end - timedelta(microseconds=1)))


def timed(play: Play, at: datetime) -> set[tuple[str, str]]:
    """The alarms that have a deadline of their own: all but late jobs, whose lateness grows."""
    return {key for key in standing(play.floor, play.shop, at) if key[0] != "job late"}


def test_clearing_comes_before_raising(play: Play) -> None:
    piece = pressed(play)
    look(play, 60)
    facts = changes(play.floor, play.shop, play.now + timedelta(seconds=60))
    assert [type(fact.event) for fact in facts] == [AlarmCleared, AlarmRaised]
    assert {fact.event.stream for fact in facts} == {piece}


def test_a_piece_that_was_walked_at_the_standard_leaves_no_alarm(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK)
    assert look(play) == []
