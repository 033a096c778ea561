"""Alarms: raised when something needs a person, cleared when it was dealt with, found again after any pause."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.alarms import changes, next_deadline, standing
from shared.cards import UNDO
from shared.codes import CodeType
from shared.events import AlarmCleared, AlarmRaised
from shared.shop import parse_shop
from tests.floor.plays import Act, days, played
from tests.making import DARK_WALK, LIGHT_WALK, MONDAY, Play, card, shop_data, walk

STIR = card(CodeType.CARE, "stir white ink")


@pytest.fixture
def play() -> Play:
    """A shop without care tasks, so that only what is printed gives alarms."""
    return Play(parse_shop(shop_data(care=[])))


def look(play: Play, after_s: float = 0) -> list[str]:
    """What the timekeeper would record after some time; the alarms that stand then."""
    play.now += timedelta(seconds=after_s)
    play.record(changes(play.floor, play.shop, play.now))
    return [kind for kind, _ in play.floor.alarms]


def printed(play: Play) -> str:
    """A light garment, just printed."""
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:1])
    return piece


def pressed(play: Play) -> str:
    """A light garment in a press that has just been closed for 60 s."""
    piece = printed(play)
    play.scan(piece, "press 1", after_s=20)
    return piece


# Wet too long


def test_a_wet_piece_is_no_alarm_before_its_limit(play: Play) -> None:
    printed(play)
    assert look(play, 1199) == []


def test_a_wet_piece_at_its_limit_is_an_alarm(play: Play) -> None:
    piece = printed(play)
    due = play.now + timedelta(seconds=1200)
    assert look(play, 1200) == ["wet too long"]
    alarm = play.floor.alarms["wet too long", piece]
    assert (alarm.since, alarm.say) == (due, f"{piece} has been wet for more than 20 min: press it now.")


def test_a_wet_alarm_is_cleared_by_closing_a_press_on_the_piece(play: Play) -> None:
    piece = printed(play)
    look(play, 1300)
    play.scan(piece, "press 1")
    assert look(play) == []
    assert isinstance(play.rows[-1].event, AlarmCleared)


def test_a_wet_alarm_is_cleared_by_spoiling_the_piece(play: Play) -> None:
    piece = printed(play)
    look(play, 1300)
    play.scan(card(CodeType.REASON, "ink smear"), "printer 1")
    play.scan(piece, "printer 1", after_s=5)
    assert look(play) == []


def test_a_wet_alarm_is_cleared_by_giving_the_job_up(play: Play) -> None:
    printed(play)
    look(play, 1300)
    play.cancel()
    assert look(play) == []


# The press


def test_a_press_at_its_time_is_to_be_opened_now(play: Play) -> None:
    piece = pressed(play)
    assert look(play, 59) == []
    assert look(play, 1) == ["press open now"]
    alarm = play.floor.alarms["press open now", piece]
    assert (alarm.station, alarm.say) == ("press 1", f"press 1 is done: take {piece} out.")


def test_a_press_a_minute_past_its_time_is_over_time(play: Play) -> None:
    piece = pressed(play)
    closed = play.now
    look(play, 60)
    assert look(play, 60) == ["press over time"]
    assert play.floor.alarms["press over time", piece].since == closed + timedelta(seconds=120)


def test_a_press_alarm_is_cleared_by_scanning_the_piece_out(play: Play) -> None:
    piece = pressed(play)
    look(play, 130)
    play.scan(piece, "press 1")
    assert look(play) == []


def test_a_press_that_was_opened_too_early_is_an_alarm_at_once(play: Play) -> None:
    piece = pressed(play)
    play.scan(piece, "press 1", after_s=30)
    assert look(play) == ["opened too early"]
    alarm = play.floor.alarms["opened too early", piece]
    assert (alarm.since, alarm.station) == (play.now, "press 1")
    assert alarm.say == f"press 1 was opened too early on {piece}: close it again."


def test_a_press_that_was_opened_too_early_is_done_when_its_time_is_over(play: Play) -> None:
    piece = pressed(play)
    play.scan(piece, "press 1", after_s=30)
    look(play)
    assert look(play, 30) == ["press open now"]


def test_a_press_that_was_opened_as_soon_as_it_was_closed_was_opened_too_early(play: Play) -> None:
    piece = pressed(play)
    play.scan("noise", "press 1", at=play.now)
    play.scan(piece, "press 1", at=play.now)
    assert look(play) == ["opened too early"]


def test_closing_a_press_anew_makes_the_early_opening_good(play: Play) -> None:
    piece = pressed(play)
    play.scan(piece, "press 1", after_s=30)
    assert look(play) == ["opened too early"]
    play.scan(card(CodeType.COMMAND, UNDO), "press 1", after_s=5)
    play.scan(piece, "press 1", after_s=5)
    assert look(play) == []


# Late jobs


def test_a_job_that_can_still_be_made_in_time_is_no_alarm(play: Play) -> None:
    play.job(due=MONDAY + timedelta(seconds=615))
    assert look(play) == []


def test_a_job_that_cannot_be_made_in_time_is_late_before_it_is_due(play: Play) -> None:
    play.job(due=MONDAY + timedelta(seconds=615 - 3600))
    assert look(play) == ["job late"]
    say = "J0001 for Harbour rowing club will be late by 60 min or more."
    assert play.floor.alarms["job late", "J0001"].say == say


def test_a_job_that_will_be_late_by_a_second_will_be_late(play: Play) -> None:
    play.job(due=MONDAY + timedelta(seconds=614))
    assert look(play) == ["job late"]


def test_a_late_job_is_no_alarm_any_more_when_it_is_finished(play: Play) -> None:
    [piece] = play.job(due=MONDAY + timedelta(seconds=60))
    look(play)
    walk(play, piece)
    assert look(play) == []


def test_a_held_job_is_late_only_when_its_time_is_over(play: Play) -> None:
    play.job(due=MONDAY + timedelta(seconds=300))
    play.hold()
    assert look(play, 300) == []
    assert look(play, 1) == ["job late"]


# Care


def test_a_care_task_falls_due_its_interval_after_the_floor_began() -> None:
    play = Play()
    play.job()
    assert "care due" not in look(play, 8 * 3600 - 1)
    look(play, 1)
    assert [subject for kind, subject in play.floor.alarms if kind == "care due"] == ["stir white ink"]


def test_a_care_task_falls_due_its_interval_after_it_was_done() -> None:
    play = Play()
    play.job()
    play.scan(STIR, "printer 1", after_s=3600)
    assert ("care due", "stir white ink") not in standing(play.floor, play.shop, MONDAY + timedelta(hours=8.5))
    assert ("care due", "stir white ink") in standing(play.floor, play.shop, MONDAY + timedelta(hours=9))


def test_doing_a_care_task_clears_its_alarm() -> None:
    play = Play()
    play.job()
    look(play, 8 * 3600)
    play.scan(STIR, "printer 1")
    look(play)
    assert ("care due", "stir white ink") not in play.floor.alarms


def test_on_a_floor_where_nothing_ever_happened_nothing_is_due() -> None:
    play = Play()
    assert changes(play.floor, play.shop, MONDAY + timedelta(days=9)) == []
    assert next_deadline(play.floor, play.shop, MONDAY) is None


# The next deadline


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
