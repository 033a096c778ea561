"""The use of printers and presses, and the execution of jobs, worked out by hand."""

from datetime import datetime, timedelta

import pytest

from floor.core.times.cycle import Walks
from floor.core.times.use import StationUse, job_times, station_uses
from shared.codes import CodeType
from shared.files.cards import STATION_DOWN, STATION_UP, UNDO
from shared.files.shop import parse_shop
from tests.making import (
    DARK_WALK,
    LIGHT_WALK,
    MONDAY,
    Play,
    card,
    large_shop,
    shop_assuming,
    shop_data,
    shop_holding,
    walk,
)

OPENS = MONDAY - timedelta(hours=1)
"""Eight in the morning in New York."""
EVENING = MONDAY + timedelta(hours=8)
OPEN_S = 8.5 * 3600
"""The shop's Monday, without half an hour at noon."""


@pytest.fixture
def play() -> Play:
    return Play()


def uses(play: Play, start: datetime = OPENS, until: datetime = EVENING) -> dict[str, StationUse]:
    return {use.station: use for use in station_uses(Walks(play.floor, play.shop), play.shop, start, until)}


def seconds(*times: timedelta) -> list[float]:
    return [time.total_seconds() for time in times]


# Stations


def test_printers_and_presses_have_a_use_though_nothing_was_done(play: Play) -> None:
    found = uses(play)
    assert list(found) == ["printer 1", "press 1"]
    press = found["press 1"]
    assert seconds(press.elapsed.busy, press.planned_busy, press.down) == [0, OPEN_S, 0]
    assert (press.steps, press.allocation_efficiency, press.utilization_efficiency) == (0, 0, None)


def test_a_press_is_busy_while_it_is_closed_and_adds_value_for_its_least_time(play: Play) -> None:
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:2])
    play.scan(piece, "press 1", after_s=80)
    press = uses(play)["press 1"]
    assert seconds(press.elapsed.production, press.elapsed.delay, press.elapsed.busy) == [60, 20, 80]
    assert press.utilization_efficiency == 60 / 80
    assert press.allocation_efficiency == pytest.approx(80 / OPEN_S)


def test_two_pieces_in_one_press_are_one_busy_press() -> None:
    play = Play(shop_holding(2))
    one, other = play.job(colour="white", sizes={"M": 2})
    for code in (one, other):
        play.scan(code, "printer 1", after_s=95)
    for code in (one, other, one, other):
        play.scan(code, "press 1", after_s=40)
    press = uses(play)["press 1"]
    assert seconds(press.elapsed.busy) == [120]
    assert (press.steps, press.derived) == (2, 0)


def test_the_start_of_a_print_is_derived_and_counted_as_such(play: Play) -> None:
    [piece] = play.job()
    walk(play, piece, DARK_WALK[:4])
    printer = uses(play)["printer 1"]
    assert seconds(printer.elapsed.busy) == [150 + 140]
    assert (printer.steps, printer.derived, printer.assumed) == (2, 2, 0)


def test_a_print_that_nobody_saw_is_counted_and_left_out() -> None:
    play = Play(shop_assuming("underlayer"))
    [piece] = play.job()
    play.scan(piece, "inspection")
    printer = uses(play)["printer 1"]
    assert (printer.steps, printer.assumed) == (0, 1)


def test_a_press_that_is_closed_still_is_busy_until_now(play: Play) -> None:
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:2])
    now = play.now + timedelta(seconds=30)
    assert seconds(uses(play, until=now)["press 1"].elapsed.busy) == [30]


def test_a_press_is_free_when_what_was_in_it_is_spoiled(play: Play) -> None:
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:2])
    play.spoil(piece, "press 1", "scorch", after_s=25)
    assert seconds(uses(play)["press 1"].elapsed.busy) == [25]


def test_a_cure_that_began_before_the_week_counts_from_its_beginning_on(play: Play) -> None:
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:3])
    middle = play.now - timedelta(seconds=20)
    assert seconds(uses(play, middle)["press 1"].elapsed.busy) == [20]
    assert seconds(uses(play, until=middle)["press 1"].elapsed.busy) == [40]


def test_a_night_in_the_press_is_not_work(play: Play) -> None:
    [piece] = play.job(colour="white")
    play.scan(piece, "printer 1", at=MONDAY + timedelta(hours=7, minutes=58))
    play.scan(piece, "press 1", at=MONDAY + timedelta(hours=7, minutes=59))
    play.scan(piece, "press 1", at=MONDAY + timedelta(hours=23, minutes=1))
    press = uses(play, until=MONDAY + timedelta(days=1))["press 1"]
    assert seconds(press.elapsed.busy, press.working.busy) == [
        60,
        60,
    ]  # nobody knows more than its standard


def test_down_time_counts_while_the_shop_is_open(play: Play) -> None:
    play.scan(card(CodeType.COMMAND, STATION_DOWN), "press 1", at=MONDAY + timedelta(hours=7))
    play.scan(card(CodeType.COMMAND, STATION_UP), "press 1", at=MONDAY + timedelta(hours=24))
    assert seconds(uses(play, until=MONDAY + timedelta(days=2))["press 1"].down) == [2 * 3600]


def test_a_station_that_is_no_longer_in_the_shop_file_keeps_its_use() -> None:
    play = Play(large_shop())
    [piece] = play.job(colour="white")
    walk(play, piece, (("printer 2", 95),))
    play.shop = Play().shop
    assert uses(play)["printer 2"].steps == 1


# By the hour


def test_each_hour_says_for_how_long_the_station_was_busy(play: Play) -> None:
    one, other = play.job(colour="white", sizes={"M": 2})
    for code in (one, other):
        play.scan(code, "printer 1", at=MONDAY)
    play.scan(one, "press 1", at=MONDAY + timedelta(minutes=59))
    play.scan(one, "press 1", at=MONDAY + timedelta(minutes=62))
    play.scan(other, "press 1", at=MONDAY + timedelta(minutes=70))
    play.scan(other, "press 1", at=MONDAY + timedelta(minutes=72))
    hours = uses(play, MONDAY, MONDAY + timedelta(hours=4))["press 1"].hours
    assert [hour.busy_s for hour in hours] == [60, 240, 0, 0]
    assert [hour.starts for hour in hours] == [MONDAY + timedelta(hours=n) for n in range(4)]
    assert [hour.open_s for hour in hours] == [3600, 3600, 3600, 1800]  # half an hour is closed at noon


@pytest.mark.parametrize(
    ("zone", "week", "hours"),
    [
        ("America/New_York", "2026-W10", 7 * 24 - 1),
        ("America/New_York", "2026-W44", 7 * 24 + 1),
        ("Australia/Lord_Howe", "2026-W14", 7 * 24 + 1),
        ("America/Phoenix", "2026-W44", 7 * 24),
    ],
)
def test_a_week_has_as_many_hours_as_its_zone_has_it(zone: str, week: str, hours: int) -> None:
    """IANA time zone database. Where half an hour is added, that hour is one of its own, of half the length."""
    data = shop_data(hours=None)
    data["shop"]["zone"] = zone
    play = Play(parse_shop(data))
    start, end = play.shop.hours.week_bounds(week)
    found = uses(play, start, end)["press 1"].hours
    assert len(found) == hours
    assert sum(hour.open_s for hour in found) == (end - start).total_seconds()


# Jobs


def test_a_job_that_nobody_began_has_no_execution_time(play: Play) -> None:
    play.job()
    assert job_times(Walks(play.floor, play.shop), play.shop.hours, play.floor.jobs["J0001"], play.now) is None


def test_a_job_is_busy_while_any_of_its_pieces_is_in_process(play: Play) -> None:
    one, other = play.job(colour="white", sizes={"M": 2})
    walk(play, one, LIGHT_WALK)
    walk(play, other, LIGHT_WALK)
    found = job_times(Walks(play.floor, play.shop), play.shop.hours, play.floor.jobs["J0001"], play.now)
    assert found is not None
    # The second print takes its standard, for the printer waited: before it, and before the second cure, both wait.
    assert seconds(found.elapsed.execution, found.elapsed.busy, found.elapsed.queuing) == [390, 350, 40]
    assert (found.steps, found.derived, found.assumed) == (6, 4, 0)


def test_a_job_that_goes_on_is_executed_until_now(play: Play) -> None:
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:1])
    play.now += timedelta(seconds=100)
    found = job_times(Walks(play.floor, play.shop), play.shop.hours, play.floor.jobs["J0001"], play.now)
    assert found is not None
    assert seconds(found.elapsed.busy, found.elapsed.queuing) == [95, 100]


def test_a_remake_that_was_taken_back_never_was(play: Play) -> None:
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK)
    end = play.now
    play.spoil(piece, "packing", "misprint")
    play.scan(card(CodeType.COMMAND, UNDO), "packing", after_s=5)
    found = job_times(Walks(play.floor, play.shop), play.shop.hours, play.floor.jobs["J0001"], play.now)
    assert found is not None
    assert found.until == end


def test_a_remake_is_a_second_piece_of_its_job(play: Play) -> None:
    [piece] = play.job(colour="white")
    walk(play, piece, LIGHT_WALK[:1])
    play.spoil(piece, "printer 1", "misprint")
    remake = play.piece(piece).remake or ""
    walk(play, remake, LIGHT_WALK)
    found = job_times(Walks(play.floor, play.shop), play.shop.hours, play.floor.jobs["J0001"], play.now)
    assert found is not None
    assert seconds(found.elapsed.execution) == [95 + 5 + sum(after_s for _, after_s in LIGHT_WALK)]


def test_a_print_that_was_taken_as_done_counts_from_its_moment_on_and_before_the_end() -> None:
    play = Play(shop_assuming("underlayer"))
    [piece] = play.job()
    play.scan(piece, "pretreat booth")
    play.scan(piece, "inspection", after_s=600)
    at, instant = play.now, timedelta(microseconds=1)
    play.scan(piece, "printer 1", after_s=300)
    counted = [
        uses(play, start, until)["printer 1"].assumed
        for start, until in ((at, at + instant), (at + instant, EVENING), (OPENS, at), (OPENS, EVENING))
    ]
    assert counted == [1, 0, 0, 1]
