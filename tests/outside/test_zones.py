"""Shops that work through a night in which the clocks change: durations right, no day's work left out or doubled.

The changes are those of the IANA time zone database, releases of 2025:
New York   2026-03-08 02:00 → 03:00 (07:00 UTC)     2026-11-01 02:00 → 01:00 (06:00 UTC)
London     2026-03-29 01:00 → 02:00 (01:00 UTC)     2026-10-25 02:00 → 01:00 (01:00 UTC)
Lord Howe  2026-04-05 02:00 → 01:30 (15:00 UTC the day before)   2026-10-04 02:00 → 02:30 (15:30 UTC the day before)
Phoenix    none
"""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest
from msgspec import Struct

from floor.core.plan.alarms import changes, next_deadline
from floor.core.plan.outlook import outlook
from floor.core.plan.presses import in_presses
from floor.core.plan.wet import wet_queue
from floor.core.rules.day import backed_up, backup_due, sign_outs
from floor.core.times.cycle import Walks, cycle_time
from floor.core.times.use import job_times, station_uses
from shared.codes import CodeType
from shared.events.floor import AlarmRaised, WeekReported, WorkDone
from shared.events.reads import SignedOut
from shared.files.shop import parse_shop
from shared.hours import DAYS, Hours
from tests.making import LIGHT_WALK, Play, card, shop_data, walk


class Night(Struct, frozen=True):
    """A change of the clocks: where, when (UTC), on which day there, and how long that day is."""

    zone: str
    change: datetime
    day: date
    hours: float

    def __str__(self) -> str:
        return f"{self.zone} {self.day}"


NIGHTS = [
    Night("America/New_York", datetime(2026, 3, 8, 7, tzinfo=UTC), date(2026, 3, 8), 23),
    Night("America/New_York", datetime(2026, 11, 1, 6, tzinfo=UTC), date(2026, 11, 1), 25),
    Night("Europe/London", datetime(2026, 3, 29, 1, tzinfo=UTC), date(2026, 3, 29), 23),
    Night("Europe/London", datetime(2026, 10, 25, 1, tzinfo=UTC), date(2026, 10, 25), 25),
    Night("Australia/Lord_Howe", datetime(2026, 4, 4, 15, tzinfo=UTC), date(2026, 4, 5), 24.5),
    Night("Australia/Lord_Howe", datetime(2026, 10, 3, 15, 30, tzinfo=UTC), date(2026, 10, 4), 23.5),
    Night("America/Phoenix", datetime(2026, 3, 8, 9, tzinfo=UTC), date(2026, 3, 8), 24),
    Night("America/Phoenix", datetime(2026, 11, 1, 9, tzinfo=UTC), date(2026, 11, 1), 24),
]
nights = pytest.mark.parametrize("night", NIGHTS, ids=str)
MINUTE = timedelta(minutes=1)


def play_in(night: Night, **tables: object) -> Play:
    """A floor that is always open unless its hours are given; its clock stands a little before the change."""
    data = shop_data(**{"hours": None, "care": [], **tables})
    data["shop"]["zone"] = night.zone
    play = Play(parse_shop(data))
    play.now = night.change - timedelta(seconds=150)
    return play


def seconds(time: timedelta | None) -> float | None:
    return None if time is None else time.total_seconds()


# Durations


@nights
def test_a_walk_through_the_change_takes_as_long_as_any_other(night: Night) -> None:
    play = play_in(night)
    [piece] = play.job(colour="white")
    start = play.now
    walk(play, piece, LIGHT_WALK)
    assert start < night.change < play.now
    times = Walks(play.floor, play.shop).of(play.piece(piece))
    assert [seconds(time.processing) for time in times] == [95, 60, 20]
    assert [seconds(time.queuing) for time in times] == [0, 20, 0]
    cycle = cycle_time(times, play.shop.hours)
    assert cycle is not None
    assert (seconds(cycle.elapsed), seconds(cycle.working)) == (195, 195)


@nights
def test_a_job_and_a_press_are_busy_for_the_time_that_passed(night: Night) -> None:
    play = play_in(night)
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK)
    walks = Walks(play.floor, play.shop)
    job = job_times(walks, play.shop.hours, play.floor.jobs["J0001"], play.now)
    assert job is not None
    assert (seconds(job.elapsed.execution), seconds(job.working.execution)) == (195, 195)
    press = next(use for use in station_uses(walks, play.shop, *day_of(night)) if use.station == "press 1")
    assert (seconds(press.elapsed.busy), seconds(press.planned_busy)) == (60, night.hours * 3600)
    assert sum(hour.busy_s for hour in press.hours) == 60


def day_of(night: Night) -> tuple[datetime, datetime]:
    return Hours.from_table(None, night.zone).day_bounds(night.day)


@nights
def test_a_press_counts_down_through_the_change(night: Night) -> None:
    play = play_in(night)
    [piece] = play.job(colour="white")
    walk(play, piece, (("printer 1", 95), ("press 1", 20)))
    assert play.now < night.change
    left = []
    while play.now < night.change + timedelta(seconds=25):
        left.append(in_presses(play.floor, play.shop, play.now)[0].seconds_left)
        play.now += timedelta(seconds=1)
    assert left == [60 - n for n in range(len(left))]
    assert play.scan(piece, "press 1", at=play.now).outcome == "accepted"


@nights
def test_wet_ink_is_wet_for_the_time_that_passed_and_told_at_its_limit(night: Night) -> None:
    play = play_in(night)
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:1])
    printed = play.now
    assert next_deadline(play.floor, play.shop, play.now) == printed + timedelta(seconds=1200)
    play.now = printed + timedelta(seconds=1199)
    assert [fact.event for fact in changes(play.floor, play.shop, play.now)] == []
    assert wet_queue(outlook(play.floor, play.shop, play.now), play.now)[0].wet_s == 1199
    play.now += timedelta(seconds=1)
    [fact] = changes(play.floor, play.shop, play.now)
    assert isinstance(fact.event, AlarmRaised)
    assert (fact.event.alarm, fact.event.since) == ("wet too long", play.now)


@nights
def test_a_night_shift_works_the_hours_that_its_night_has(night: Night) -> None:
    """From 22:00 to 06:00 by the clock on the wall."""
    data = {day: ["22:00-06:00"] for day in DAYS}
    hours = play_in(night, hours=data).shop.hours
    opens, closes = next(span for span in hours.openings_from(night.change) if span[1] > night.change)
    assert opens < night.change
    assert hours.working(opens, closes) == closes - opens == timedelta(hours=8 + night.hours - 24)
    assert hours.add_working(opens, closes - opens) == closes


# Work of the floor itself: looked at each minute, as the timekeeper does


def days_around(night: Night) -> tuple[datetime, datetime]:
    """From two days before the change to three days after it."""
    return night.change - timedelta(days=2), night.change + timedelta(days=3)


def each_minute(start: datetime, end: datetime) -> Iterator[datetime]:
    while start < end:
        yield start
        start += MINUTE


@nights
def test_each_day_is_backed_up_once(night: Night) -> None:
    play = play_in(night)
    start, end = days_around(night)
    play.now = start
    play.job()
    for play.now in each_minute(start, end):
        if due := backup_due(play.floor, play.shop, play.now):
            play.record(backed_up(play.floor, due, play.now))
    done = [row.event.period for row in play.rows if isinstance(row.event, WorkDone)]
    expected = [night.day + timedelta(days=n) for n in range(-3, 3)]
    assert done == [day.isoformat() for day in expected]


@nights
def test_whoever_signs_in_each_morning_is_signed_out_once_a_day_at_its_end(night: Night) -> None:
    play = play_in(night)
    start, end = days_around(night)
    hours = play.shop.hours
    signed_in: set[date] = set()
    for play.now in each_minute(start, end):
        play.record(sign_outs(play.floor, play.shop, play.now))
        if (day := hours.day_of(play.now)) not in signed_in:
            signed_in.add(day)
            play.scan(card(CodeType.BADGE, "A"), "packing", at=play.now)
    outs = [row.occurred_at for row in play.rows if isinstance(row.event, SignedOut)]
    assert outs == [hours.day_bounds(day)[1] for day in sorted(signed_in)[:-1]]
    assert {(later - earlier) / timedelta(hours=1) for earlier, later in pairwise(outs)} <= {24.0, night.hours}


@nights
def test_the_week_of_the_change_is_reported_once(night: Night) -> None:
    play = play_in(night)
    play.now = night.change - timedelta(days=9)
    play.job()
    reported = []
    for play.now in each_minute(night.change - timedelta(days=1), night.change + timedelta(days=9)):
        for week in play.floor.closed_weeks.due(play.shop.hours, play.floor.began or play.now, play.now):
            reported.append(week)
            _, end = play.shop.hours.week_bounds(week)
            play.happens(WeekReported(week=week, end=end, digest=""))
    weeks = [play.shop.hours.week_of(night.change + timedelta(days=n)) for n in (-7, 0, 7)]
    assert reported == [week for week in weeks if play.shop.hours.week_bounds(week)[1] <= play.now]


@nights
def test_care_falls_due_so_many_hours_later_whatever_the_clock_shows(night: Night) -> None:
    play = play_in(night, care=[{"name": "stir white ink", "every": "8h"}])
    play.now = night.change - timedelta(hours=3)
    done = play.now
    play.scan(card(CodeType.CARE, "stir white ink"), "printer 1", at=done)
    assert next_deadline(play.floor, play.shop, play.now) == done + timedelta(hours=8)
