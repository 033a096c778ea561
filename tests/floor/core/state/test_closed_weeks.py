"""Which weeks are to be reported: those that are over, once, and again when something came late for them."""

from datetime import UTC, datetime, timedelta

import pytest

from floor.core.state.closed_weeks import ClosedWeek, ClosedWeeks
from shared.files.shop import parse_shop
from shared.hours import Hours
from tests.making import MONDAY, shop_data

WEEK = timedelta(days=7)


def hours(zone: str = "America/New_York") -> Hours:
    data = shop_data()
    data["shop"]["zone"] = zone
    return parse_shop(data).hours


def closed(*names: str, zone: str = "America/New_York") -> ClosedWeeks:
    weeks = ClosedWeeks()
    for name in names:
        weeks.close(name, ClosedWeek(hours(zone).week_bounds(name)[1], 0, ""))
    return weeks


def test_a_week_that_runs_is_not_due() -> None:
    assert ClosedWeeks().due(hours(), MONDAY, MONDAY) == []


@pytest.mark.parametrize(("zone", "over_at"), [("America/New_York", 5), ("UTC", 0), ("Australia/Lord_Howe", -11)])
def test_a_week_is_over_at_midnight_by_the_shop_s_own_clock(zone: str, over_at: int) -> None:
    over = datetime(2026, 11, 30, tzinfo=UTC) + timedelta(hours=over_at)
    due = [ClosedWeeks().due(hours(zone), MONDAY, over + timedelta(seconds=after)) for after in (-1, 0)]
    assert due == [[], ["2026-W48"]]


def test_after_a_downtime_every_week_that_was_missed_is_due() -> None:
    weeks = closed("2026-W48")
    assert weeks.due(hours(), MONDAY, MONDAY + 3 * WEEK) == ["2026-W49", "2026-W50"]


def test_a_year_of_53_weeks_misses_none() -> None:
    assert closed("2026-W51").due(hours(), MONDAY, datetime(2027, 1, 12, tzinfo=UTC)) == [
        *("2026-W52", "2026-W53", "2027-W01"),
    ]


def test_a_shop_that_never_had_a_report_begins_with_the_last_week() -> None:
    assert ClosedWeeks().due(hours(), MONDAY - 30 * WEEK, MONDAY) == ["2026-W47"]


def test_a_late_scan_makes_its_week_due_again_and_those_after_it() -> None:
    weeks = closed("2026-W48", "2026-W49", "2026-W50")
    weeks.touch(MONDAY + WEEK)
    assert weeks.due(hours(), MONDAY, MONDAY + 3 * WEEK) == ["2026-W49", "2026-W50"]


def test_a_scan_in_time_makes_none_due() -> None:
    weeks = closed("2026-W48")
    weeks.touch(MONDAY + WEEK)
    assert weeks.due(hours(), MONDAY, MONDAY + WEEK) == []


def test_a_week_that_was_reported_by_a_clock_gone_wrong_is_due_when_it_is_over() -> None:
    weeks = closed("2026-W49")
    weeks.touch(MONDAY + WEEK)
    assert weeks.due(hours(), MONDAY, MONDAY + WEEK) == []
    assert weeks.due(hours(), MONDAY, MONDAY + 2 * WEEK) == ["2026-W49"]


def test_weeks_that_ended_by_another_zone_are_due_once_more() -> None:
    weeks = closed("2026-W48", "2026-W49")
    berlin, now = hours("Europe/Berlin"), MONDAY + 2 * WEEK
    assert weeks.due(berlin, MONDAY, now) == ["2026-W48", "2026-W49"]
    again = closed("2026-W48", "2026-W49", zone="Europe/Berlin")
    assert again.due(berlin, MONDAY, now) == []
