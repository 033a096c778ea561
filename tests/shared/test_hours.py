"""Opening hours and working time."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.hours import DAYS, Hours, opening_of

SHOP = {
    "mon": ["08:00-12:00", "12:30-17:00"],
    "tue": ["08:00-12:00", "12:30-17:00"],
    "fri": ["22:00-02:00"],
    "closed": [date(2026, 3, 10)],
}
NEW_YORK = "America/New_York"
NIGHT = {"sun": ["01:00-04:00"]}

CHANGES = {
    "America/New_York": (date(2026, 3, 8), date(2026, 11, 1)),
    "Europe/London": (date(2026, 3, 29), date(2026, 10, 25)),
    "Australia/Lord_Howe": (date(2026, 4, 5), date(2026, 10, 4)),
    "America/Phoenix": (date(2026, 3, 8), date(2026, 11, 1)),
    "Asia/Kolkata": (date(2026, 3, 29), date(2026, 10, 25)),
    "America/St_Johns": (date(2010, 3, 14), date(2010, 11, 7)),  # the clocks changed a minute after midnight
    "America/Havana": (date(2026, 3, 8), date(2026, 11, 1)),  # they change at midnight itself
    "Pacific/Apia": (date(2011, 12, 30), date(2011, 12, 30)),  # a day that never was
}
WEEK_MIN = 7 * 24 * 60


def at(text: str, zone: str = NEW_YORK) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone)).astimezone(UTC)


def hours(**table: Any) -> Hours:
    return Hours.from_table(table or SHOP, NEW_YORK)


def _text(minute: int, *, closing: bool) -> str:
    hour, rest = divmod(minute % 1440, 60)
    return "24:00" if closing and not hour and not rest else f"{hour:02}:{rest:02}"


def table_of(marks: Sequence[int]) -> dict[str, Any]:
    """A week whose openings run from one mark to the next, and not from there to the one after; minutes from Monday."""
    table: dict[str, Any] = {day: [] for day in DAYS}
    for opens, closes in zip(marks[::2], marks[1::2], strict=False):
        if closes - opens < 1440:
            text = f"{_text(opens, closing=False)}-{_text(closes, closing=True)}"
            table[DAYS[opens // 1440]].append(text)
    return table


minutes = st.integers(0, WEEK_MIN - 1)
at_night = st.builds(lambda day, minute: day * 1440 + minute, st.integers(0, 6), st.integers(0, 240))


@st.composite
def tables(draw: st.DrawFn, minutes: st.SearchStrategy[int]) -> dict[str, Any]:
    marks = draw(st.lists(minutes, min_size=2, max_size=24, unique=True))
    table = table_of(sorted(marks))
    if not any(table.values()):
        table["wed"] = ["00:00-24:00"]
    return table


@st.composite
def shops(draw: st.DrawFn) -> tuple[Hours, date]:
    """Any hours in a zone, and a day on which something happens there."""
    zone = draw(st.sampled_from(sorted(CHANGES)))
    day = draw(st.sampled_from(CHANGES[zone]))
    closed = draw(st.lists(st.integers(-2, 2).map(lambda n: day + timedelta(days=n)), max_size=2))
    table = draw(st.none() | tables(minutes | at_night))
    return Hours.from_table(table and {**table, "closed": closed}, zone), day


def near(day: date) -> st.SearchStrategy[datetime]:
    noon = datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
    return st.timedeltas(-timedelta(days=4), timedelta(days=4)).map(lambda away: noon + away)


shops_and_moments = shops().flatmap(
    lambda shop: st.tuples(st.just(shop[0]), st.lists(near(shop[1]), min_size=3, max_size=3).map(sorted))
)


# Plain days


def test_the_lunch_break_is_no_working_time() -> None:
    assert hours().working(at("2026-03-02 11:00"), at("2026-03-02 13:00")) == timedelta(hours=1, minutes=30)


def test_a_day_that_is_left_out_is_closed() -> None:
    assert hours().working(at("2026-03-04 00:00"), at("2026-03-05 00:00")) == timedelta(0)


def test_a_closed_date_is_no_working_time() -> None:
    assert hours().working(at("2026-03-10 00:00"), at("2026-03-11 00:00")) == timedelta(0)
    assert not hours().is_open(at("2026-03-10 09:00"))


def test_without_hours_all_time_is_working_time() -> None:
    always = Hours.from_table(None, NEW_YORK)
    assert always.working(at("2026-03-01 00:00"), at("2026-03-15 00:00")) == timedelta(days=14, hours=-1)


def test_nothing_is_worked_from_a_moment_to_an_earlier_one() -> None:
    assert hours().working(at("2026-03-02 12:00"), at("2026-03-02 09:00")) == timedelta(0)


def test_the_shop_is_open_from_the_moment_it_opens_until_just_before_it_closes() -> None:
    assert hours().is_open(at("2026-03-02 08:00"))
    assert not hours().is_open(at("2026-03-02 12:00"))
    assert not hours().is_open(at("2026-03-02 07:59:59.999999"))


def test_after_monday_evening_the_shop_opens_on_tuesday_morning() -> None:
    assert hours().next_open(at("2026-03-02 18:00")) == at("2026-03-03 08:00")


def test_an_open_shop_opens_now() -> None:
    assert hours().next_open(at("2026-03-02 09:30")) == at("2026-03-02 09:30")


def test_five_hours_from_eleven_end_after_the_break_and_the_night() -> None:
    assert hours().add_working(at("2026-03-02 11:00"), timedelta(hours=7)) == at("2026-03-03 09:30")


def test_work_that_fills_the_day_is_over_when_the_shop_closes_not_when_it_opens_again() -> None:
    assert hours().add_working(at("2026-03-02 08:00"), timedelta(hours=8.5)) == at("2026-03-02 17:00")


def test_no_work_at_all_is_over_at_once_even_at_night() -> None:
    assert hours().add_working(at("2026-03-02 20:00"), timedelta(0)) == at("2026-03-02 20:00")


def test_working_time_below_nothing_cannot_be_added() -> None:
    with pytest.raises(ValueError, match="nothing or more"):
        hours().add_working(at("2026-03-02 20:00"), -timedelta(seconds=1))


def test_a_moment_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="no time zone"):
        hours().day_of(datetime(2026, 3, 2, 8))  # noqa: DTZ001


# Nights


def test_an_opening_beyond_midnight_lasts_into_the_next_day() -> None:
    assert hours().working(at("2026-03-06 21:00"), at("2026-03-07 09:00")) == timedelta(hours=4)
    assert hours().is_open(at("2026-03-07 01:59"))


def test_an_opening_beyond_midnight_is_closed_with_the_day_on_which_it_begins() -> None:
    closed = Hours.from_table({**SHOP, "closed": [date(2026, 3, 6)]}, NEW_YORK)
    assert not closed.is_open(at("2026-03-07 01:00"))
    open_all_night = Hours.from_table({**SHOP, "closed": [date(2026, 3, 7)]}, NEW_YORK)
    assert open_all_night.is_open(at("2026-03-07 01:00"))


# Nights on which the clocks change


def test_a_time_that_the_clocks_jump_over_is_the_jump() -> None:
    opens_in_the_gap = hours(sun=["02:30-04:00"])
    assert opens_in_the_gap.next_open(at("2026-03-08 00:00")) == at("2026-03-08 03:00")


def test_openings_that_meet_in_the_gap_work_as_one() -> None:
    night = at("2026-03-08 00:00"), at("2026-03-08 12:00")
    assert hours(sun=["01:00-02:30", "02:30-04:00"]).working(*night) == hours(**NIGHT).working(*night)


def test_an_opening_within_the_gap_does_not_take_place() -> None:
    assert hours(sun=["02:15-02:45"]).working(at("2026-03-08 00:00"), at("2026-03-09 00:00")) == timedelta(0)


def test_a_time_that_comes_twice_is_its_first_coming() -> None:
    assert hours(sun=["01:30-03:00"]).next_open(at("2026-11-01 00:00")) == datetime(2026, 11, 1, 5, 30, tzinfo=UTC)


def test_a_day_that_began_twice_is_not_interrupted_by_the_day_before() -> None:
    """At 00:01 on 7 November 2010 the clocks of St John's went back to 23:01 on the 6th."""
    shop = Hours.from_table(None, "America/St_Johns")
    start, _ = shop.day_bounds(date(2010, 11, 7))
    assert shop.day_of(start + timedelta(minutes=30)) == date(2010, 11, 7)


# Weeks


@pytest.mark.parametrize("week", ["2026-W54", "2025-W53", "2026-W00", "0000-W01", "9999-W52"])
def test_a_week_that_no_calendar_has_is_refused(week: str) -> None:
    with pytest.raises(ValueError, match=week):
        hours().week_bounds(week)


def test_the_refusal_of_a_week_says_how_many_that_year_has() -> None:
    with pytest.raises(ValueError, match="W01 to W52"):
        hours().week_bounds("2025-W53")


@pytest.mark.parametrize("week", ["", "2026", "2026-48", "26-W48", "2026-W48 ", "2026-w48", "٢٠٢٦-W٤٨"])
def test_what_does_not_read_as_a_week_is_refused(week: str) -> None:
    with pytest.raises(ValueError, match="2026-W48"):
        hours().week_bounds(week)


# What a shop file may say


@pytest.mark.parametrize("text", ["", "8", "08:00", "08:00-", "8am-5pm", "08:00-12:00-13:00", "٠٨:٠٠-١٢:٠٠"])
def test_what_does_not_read_as_an_opening_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="08:00-12:00"):
        opening_of(text)


@pytest.mark.parametrize("text", ["24:00-25:00", "08:60-12:00", "08:00-24:30", "99:00-01:00"])
def test_a_time_that_no_clock_shows_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="no clock shows"):
        opening_of(text)


def test_an_opening_of_no_length_is_refused_and_the_whole_day_named() -> None:
    with pytest.raises(ValueError, match="00:00-24:00"):
        opening_of("08:00-08:00")


@pytest.mark.parametrize("text", ["8:00-12:00", " 08:00 - 12:00 ", "08:00–12:00"])
def test_an_opening_may_be_written_loosely(text: str) -> None:
    assert opening_of(text) == opening_of("08:00-12:00")


@pytest.mark.parametrize(
    "table",
    [
        {"mon": ["08:00-12:00", "11:00-17:00"]},
        {"mon": ["08:00-12:00", "08:00-12:00"]},
        {"mon": ["22:00-06:00"], "tue": ["05:00-12:00"]},
        {"sun": ["22:00-06:00"], "mon": ["05:00-12:00"]},
    ],
)
def test_openings_that_overlap_are_refused(table: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="must not overlap"):
        Hours.from_table(table, NEW_YORK)


def test_openings_may_touch() -> None:
    assert hours(mon=["08:00-12:00", "12:00-17:00"]).working(
        at("2026-03-02 00:00"), at("2026-03-03 00:00")
    ) == timedelta(hours=9)


def test_a_shop_that_never_opens_is_refused() -> None:
    with pytest.raises(ValueError, match="never open"):
        Hours.from_table({"closed": [date(2026, 12, 25)]}, NEW_YORK)


# Whatever the hours, wherever the shop


@given(shops_and_moments)
def test_working_time_adds_up(shop: tuple[Hours, list[datetime]]) -> None:
    hours, (first, middle, last) = shop
    assert hours.working(first, middle) + hours.working(middle, last) == hours.working(first, last)


@given(shops_and_moments)
def test_working_time_is_never_longer_than_the_time_that_passed(shop: tuple[Hours, list[datetime]]) -> None:
    hours, (first, _, last) = shop
    assert timedelta(0) <= hours.working(first, last) <= last - first


@given(shops_and_moments, st.timedeltas(timedelta(0), timedelta(days=3)))
def test_what_was_added_is_what_was_worked(shop: tuple[Hours, list[datetime]], duration: timedelta) -> None:
    hours, (first, *_) = shop
    assert hours.working(first, hours.add_working(first, duration)) == duration


@given(shops_and_moments)
def test_work_is_over_no_later_than_it_was_seen_to_be(shop: tuple[Hours, list[datetime]]) -> None:
    hours, (first, _, last) = shop
    assert hours.add_working(first, hours.working(first, last)) <= last


@given(shops_and_moments)
def test_the_shop_is_closed_until_it_opens(shop: tuple[Hours, list[datetime]]) -> None:
    hours, (first, *_) = shop
    opens = hours.next_open(first)
    assert hours.is_open(opens)
    assert hours.working(first, opens) == timedelta(0)


@given(shops_and_moments)
def test_every_moment_lies_in_its_day(shop: tuple[Hours, list[datetime]]) -> None:
    hours, moments = shop
    for moment in moments:
        start, end = hours.day_bounds(hours.day_of(moment))
        assert start <= moment < end


@given(shops_and_moments)
def test_every_moment_lies_in_its_week(shop: tuple[Hours, list[datetime]]) -> None:
    hours, moments = shop
    for moment in moments:
        start, end = hours.week_bounds(hours.week_of(moment))
        assert start <= moment < end
        assert hours.week_of(end) != hours.week_of(moment)


@given(shops_and_moments)
def test_days_come_in_the_order_of_time(shop: tuple[Hours, list[datetime]]) -> None:
    hours, moments = shop
    days = [hours.day_of(moment) for moment in moments]
    assert days == sorted(days)


GRID = timedelta(minutes=10)
# Far from every change of these zones, where "the clock on the wall reads an open time" has but one meaning.
_safe_marks = st.integers(0, WEEK_MIN // 10 - 1).map(lambda n: 10 * n).filter(lambda m: not 30 <= m % 1440 < 240)


@given(
    tables(_safe_marks),
    st.sampled_from(
        [zone for zone in sorted(CHANGES) if not zone.startswith(("America/St", "America/Hav", "Pacific"))]
    ),
    st.booleans(),
    st.integers(-288, 288),
    st.integers(0, 432),
)
def test_working_time_is_what_counting_the_clock_on_the_wall_gives(
    table: dict[str, Any], zone: str, autumn: bool, start: int, length: int
) -> None:
    """Counted apart from the code under test: each ten minutes is open if a wall clock in it reads an open time."""
    day = CHANGES[zone][autumn]
    first = datetime(day.year, day.month, day.day, tzinfo=UTC) + start * GRID
    marks = [
        (n * 1440 + opens // timedelta(minutes=1), n * 1440 + closes // timedelta(minutes=1))
        for n, name in enumerate(DAYS)
        for opens, closes in map(opening_of, table[name])
    ]

    def open_at(moment: datetime) -> bool:
        wall = moment.astimezone(ZoneInfo(zone))
        minute = wall.weekday() * 1440 + wall.hour * 60 + wall.minute
        return any(opens <= when < closes for opens, closes in marks for when in (minute, minute + WEEK_MIN))

    counted = sum(open_at(first + n * GRID) for n in range(length)) * GRID
    assert Hours.from_table(table, zone).working(first, first + length * GRID) == counted


def test_on_a_day_that_the_calendar_left_out_the_shop_never_opens() -> None:
    """Samoa went from Thursday the 29th straight to Saturday the 31st of December 2011."""
    samoa = Hours.from_table({"fri": ["08:00-17:00"]}, "Pacific/Apia")
    assert samoa.next_open(datetime(2011, 12, 29, tzinfo=UTC)) == datetime(2012, 1, 5, 18, tzinfo=UTC)
