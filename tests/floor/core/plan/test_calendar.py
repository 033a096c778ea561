"""Working time from now on against the clock, in a shop that opens 08:00-12:00 and 12:30-17:00."""

from datetime import datetime, timedelta
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.plan.calendar import Calendar
from floor.core.plan.play import Closing
from shared.hours import Hours

DAY = ["08:00-12:00", "12:30-17:00"]
HOURS = Hours.from_table(dict.fromkeys(("mon", "tue", "wed", "thu", "fri"), DAY), "America/New_York")
HOUR_S = 3600


def at(text: str) -> datetime:
    return HOURS.moment(f"2026-11-{text}")


MONDAY_11 = at("23T11:00")


@pytest.mark.parametrize(
    ("hours", "moment"),
    [(0, "23T11:00"), (0.5, "23T11:30"), (1, "23T12:00"), (1.5, "23T13:00"), (5.5, "23T17:00"), (6, "24T08:30")],
)
def test_working_time_passes_only_while_the_shop_is_open(hours: float, moment: str) -> None:
    assert Calendar(HOURS, MONDAY_11).moment(hours * HOUR_S) == at(moment)


def test_before_opening_no_working_time_passes() -> None:
    calendar = Calendar(HOURS, at("23T06:00"))
    assert calendar.moment(60) == at("23T08:01")
    assert calendar.seconds(at("23T07:00")) == 0


def test_what_never_comes_has_no_moment() -> None:
    assert Calendar(HOURS, MONDAY_11).moment(inf) is None


def test_what_has_passed_lies_below_nothing() -> None:
    assert Calendar(HOURS, MONDAY_11).seconds(at("23T10:00")) == -HOUR_S


def test_the_shop_closes_at_noon_and_in_the_evening() -> None:
    breaks = Calendar(HOURS, MONDAY_11).breaks(6 * HOUR_S)
    assert breaks == [Closing(1 * HOUR_S, HOUR_S / 2), Closing(5.5 * HOUR_S, 15 * HOUR_S)]


def test_what_ends_when_the_shop_closes_ends_that_day_though_its_sum_is_off_by_a_hair() -> None:
    assert Calendar(HOURS, MONDAY_11).moment(5.5 * HOUR_S + 1e-9) == at("23T17:00")


def test_a_shop_that_never_closes_has_no_breaks() -> None:
    calendar = Calendar(Hours.from_table(None, "UTC"), MONDAY_11)
    assert calendar.breaks(100 * HOUR_S) == []
    assert calendar.moment(100 * HOUR_S) == MONDAY_11 + timedelta(hours=100)


moments = st.integers(-30 * 24 * HOUR_S, 30 * 24 * HOUR_S).map(lambda seconds: MONDAY_11 + timedelta(seconds=seconds))
"""A month before and after, with the night in which the clocks are set back."""


@given(moments, st.integers(1, 200 * HOUR_S))
def test_it_agrees_with_the_opening_hours(now: datetime, seconds: int) -> None:
    assert Calendar(HOURS, now).moment(seconds) == HOURS.add_working(now, timedelta(seconds=seconds))


@given(moments, moments)
def test_it_counts_the_same_working_time_as_the_opening_hours(now: datetime, then: datetime) -> None:
    expected = HOURS.working(now, then) if now < then else then - now
    assert Calendar(HOURS, now).seconds(then) == pytest.approx(expected.total_seconds(), abs=1e-5)
