"""Clocks that are handed in."""

from datetime import UTC, datetime, timedelta, timezone

import pytest

from shared.clock import Clock, SetClock, SystemClock

NOON = datetime(2026, 11, 27, 12, 0, tzinfo=UTC)


@pytest.mark.parametrize("clock", [SystemClock(), SetClock(NOON)])
def test_every_clock_tells_utc(clock: Clock) -> None:
    assert clock.now().tzinfo is UTC


def test_the_systems_clock_goes_on() -> None:
    clock = SystemClock()
    assert clock.now() <= clock.now() <= datetime.now(UTC)


def test_a_set_clock_stands_until_it_is_set_or_moved_on() -> None:
    clock = SetClock(NOON)
    assert clock.now() == clock.now() == NOON
    assert clock.advance(timedelta(minutes=3)) == clock.now() == NOON + timedelta(minutes=3)
    clock.set(NOON - timedelta(days=1))
    assert clock.now() == NOON - timedelta(days=1)


def test_a_set_clock_turns_other_zones_into_utc() -> None:
    clock = SetClock(datetime(2026, 11, 27, 7, 0, tzinfo=timezone(timedelta(hours=-5))))
    assert (clock.now(), clock.now().tzinfo) == (NOON, UTC)


def test_a_clock_cannot_be_set_to_a_time_without_a_zone() -> None:
    naive = NOON.replace(tzinfo=None)
    with pytest.raises(ValueError, match="no time zone"):
        SetClock(naive)
    with pytest.raises(ValueError, match="no time zone"):
        SetClock(NOON).set(naive)
