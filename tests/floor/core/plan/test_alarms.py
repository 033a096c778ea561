"""Alarms: raised when something needs a person, cleared when it was dealt with, found again after any pause."""

from datetime import timedelta

import pytest

from floor.core.plan.alarms import changes, next_deadline, standing
from shared.codes import CodeType
from shared.events.floor import AlarmCleared
from shared.files.cards import UNDO
from shared.files.shop import parse_shop
from tests.floor.core.plan.pressing import look, pressed, printed
from tests.making import MONDAY, Play, card, shop_data, walk

STIR = card(CodeType.CARE, "stir white ink")


@pytest.fixture
def play() -> Play:
    """A shop without care tasks, so that only what is printed gives alarms."""
    return Play(parse_shop(shop_data(care=[])))


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


def test_a_piece_in_a_press_that_is_read_elsewhere_was_not_taken_out_of_it(play: Play) -> None:
    piece = pressed(play)
    assert play.scan(piece, "packing", after_s=5).reason == "missed-step"
    assert look(play) == []


def test_of_two_early_openings_the_last_counts_though_it_was_told_first(play: Play) -> None:
    piece = pressed(play)
    play.scan(piece, "press 1", after_s=30)
    play.scan(piece, "press 1", at=play.now - timedelta(seconds=10))
    look(play)
    assert play.floor.alarms["opened too early", piece].since == play.now


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
    say = "J0001 for Harbour rowing club will be late by 1 h 00 or more."
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


def test_care_that_was_taken_by_a_clock_that_ran_ahead_does_not_count() -> None:
    play = Play()
    play.job()
    play.scan(STIR, "printer 1", at=MONDAY + timedelta(days=365))
    look(play, 8 * 3600)
    assert ("care due", "stir white ink") in play.floor.alarms
    play.scan(STIR, "printer 1")
    look(play)
    assert ("care due", "stir white ink") not in play.floor.alarms
    assert ("care due", "stir white ink") in standing(play.floor, play.shop, play.now + timedelta(hours=8))


def test_on_a_floor_where_nothing_ever_happened_nothing_is_due() -> None:
    play = Play()
    assert changes(play.floor, play.shop, MONDAY + timedelta(days=9)) == []
    assert next_deadline(play.floor, play.shop, MONDAY) is None
