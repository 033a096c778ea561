"""Moments as files want them: exact, with the offset of the shop's clock."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from floor.exports.moments import local, offset_of, rfc3339
from tests.floor.exports.day import NEW_YORK

zones = st.sampled_from(["America/New_York", "Australia/Lord_Howe", "Asia/Kathmandu", "Pacific/Kiritimati", "UTC"])
moments = st.datetimes(datetime(1800, 1, 1), datetime(2200, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001


@given(moments, zones)
def test_a_moment_reads_back_to_the_microsecond_in_every_zone(at: datetime, zone: str) -> None:
    assert datetime.fromisoformat(rfc3339(local(at, ZoneInfo(zone)))) == at


@given(moments, zones)
def test_the_offset_is_that_of_the_moment_in_hours_and_minutes(at: datetime, zone: str) -> None:
    there = local(at, ZoneInfo(zone))
    sign, hours, minutes = offset_of(rfc3339(there))[0], *map(int, offset_of(rfc3339(there))[1:].split(":"))
    assert (1 if sign == "+" else -1) * timedelta(hours=hours, minutes=minutes) == there.utcoffset()


def test_the_two_hours_of_the_autumn_change_differ_by_their_offset() -> None:
    first, second = (datetime(2026, 11, 1, hour, 30, tzinfo=UTC) for hour in (5, 6))
    assert rfc3339(local(first, NEW_YORK)) == "2026-11-01T01:30:00-04:00"
    assert rfc3339(local(second, NEW_YORK)) == "2026-11-01T01:30:00-05:00"


def test_an_offset_with_seconds_which_no_file_can_tell_becomes_utc() -> None:
    assert rfc3339(local(datetime(1850, 1, 1, tzinfo=UTC), NEW_YORK)) == "1850-01-01T00:00:00Z"
    assert offset_of("1850-01-01T00:00:00Z") == "+00:00"
