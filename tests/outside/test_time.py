"""Weeks and changes of the clock, by the standards that define them."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from shared.hours import Hours


def always(zone: str) -> Hours:
    return Hours.from_table(None, zone)


def wall(text: str, zone: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone))


# ISO 8601: a week begins on Monday and belongs to the year that has its Thursday. 2019-12-30, 2020-12-31 and
# 2021-01-03 are printed examples of week dates; the others follow from the rule.
WEEKS = {
    "2019-12-30": "2020-W01",
    "2020-12-31": "2020-W53",
    "2021-01-03": "2020-W53",
    "2021-01-04": "2021-W01",
    "2022-12-31": "2022-W52",
    "2025-12-29": "2026-W01",
    "2026-12-28": "2026-W53",
    "2026-12-31": "2026-W53",
    "2027-01-03": "2026-W53",
    "2027-01-04": "2027-W01",
}
# Years with 53 weeks: 1 January is a Thursday, or a Wednesday in a leap year.
LONG_YEARS = [2004, 2009, 2015, 2020, 2026, 2032, 2037]


@pytest.mark.parametrize(("day", "week"), WEEKS.items())
def test_a_day_belongs_to_its_iso_week(day: str, week: str) -> None:
    assert always("America/New_York").week_of(wall(f"{day} 12:00", "America/New_York")) == week


@pytest.mark.parametrize("year", range(2000, 2041))
def test_only_the_long_years_have_a_week_53(year: int) -> None:
    if year in LONG_YEARS:
        assert always("UTC").week_bounds(f"{year}-W53")
    else:
        with pytest.raises(ValueError, match="W52"):
            always("UTC").week_bounds(f"{year}-W53")


def test_a_week_begins_at_midnight_of_the_shops_monday() -> None:
    start, end = always("America/New_York").week_bounds("2026-W53")
    assert start == datetime(2026, 12, 28, 5, tzinfo=UTC)
    assert end == datetime(2027, 1, 4, 5, tzinfo=UTC)


# IANA time zone database, releases of 2025: the length of the days on which the clocks change, in hours.
DAY_HOURS = [
    ("America/New_York", "2026-03-08", 23),
    ("America/New_York", "2026-11-01", 25),
    ("Europe/London", "2026-03-29", 23),
    ("Europe/London", "2026-10-25", 25),
    ("Australia/Lord_Howe", "2026-04-05", 24.5),
    ("Australia/Lord_Howe", "2026-10-04", 23.5),
    ("America/Phoenix", "2026-03-08", 24),
    ("America/Phoenix", "2026-11-01", 24),
    ("Asia/Kolkata", "2026-03-29", 24),
    ("Asia/Kolkata", "2026-10-25", 24),
]


@pytest.mark.parametrize(("zone", "day", "length_h"), DAY_HOURS)
def test_a_day_is_as_long_as_its_zone_has_it(zone: str, day: str, length_h: float) -> None:
    start, end = always(zone).day_bounds(date.fromisoformat(day))
    assert end - start == timedelta(hours=length_h)


# The same database, New York: 02:00 becomes 03:00 on 8 March 2026, and 02:00 becomes 01:00 on 1 November 2026.
@pytest.mark.parametrize(
    ("start", "end", "real_h"),
    [
        ("2026-03-08 01:30", "2026-03-08 03:30", 1),
        ("2026-03-08 01:00", "2026-03-08 04:00", 2),
        ("2026-11-01 00:30", "2026-11-01 03:30", 4),
    ],
)
def test_a_duration_is_the_time_that_passed_not_the_difference_on_the_wall(start: str, end: str, real_h: float) -> None:
    zone = "America/New_York"
    assert always(zone).working(wall(start, zone), wall(end, zone)) == timedelta(hours=real_h)


@pytest.mark.parametrize(("day", "worked_h"), [("2026-03-08", 2), ("2026-11-01", 4), ("2026-11-08", 3)])
def test_a_night_shift_is_as_long_as_its_night(day: str, worked_h: float) -> None:
    """From 01:00 to 04:00 on the wall; a time that comes twice is its first coming, as in RFC 5545, 3.3.5.

    On 1 November the first 01:00 is 05:00 UTC and 04:00 is 09:00 UTC.
    """
    shop = Hours.from_table({"sun": ["01:00-04:00"]}, "America/New_York")
    assert shop.working(*shop.day_bounds(date.fromisoformat(day))) == timedelta(hours=worked_h)
