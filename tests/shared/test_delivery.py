"""When a read took place, by the floor's clock, whatever the bench's clock says."""

from datetime import UTC, datetime, timedelta, timezone

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.delivery import AGE_BELIEVED_S, CLOCKS_AGREE_S, Delivery, Refusal, occurred_at

NOW = datetime(2026, 11, 27, 12, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


def delivery(**fields: object) -> Delivery:
    """A delivery as it comes over the wire, with some fields otherwise."""
    plain = {"read_id": "0123456789", "text": "1000000137", "at": "2026-11-27T12:00:00Z", "device": "gun"}
    return msgspec.json.decode(msgspec.json.encode({**plain, **fields}), type=Delivery)


def test_a_bench_whose_clock_is_right_is_believed_to_the_microsecond() -> None:
    at = NOW - timedelta(seconds=600, microseconds=123)
    assert occurred_at(at, 600.0, NOW) == at


@pytest.mark.parametrize("off", [-3 * HOUR, 3 * HOUR, -10 * 8_766 * HOUR, timedelta(seconds=6)])
def test_a_bench_whose_clock_is_wrong_is_corrected_by_the_age_of_the_read(off: timedelta) -> None:
    read_at = NOW - timedelta(minutes=10)
    assert occurred_at(read_at + off, 600.0, NOW) == read_at


def test_a_bench_that_is_a_little_ahead_does_not_scan_in_the_future() -> None:
    assert occurred_at(NOW + timedelta(seconds=3), 0.0, NOW) == NOW


def test_an_age_beyond_belief_counts_from_when_the_read_came() -> None:
    assert occurred_at(datetime(1970, 1, 1, tzinfo=UTC), 56 * 365 * 86_400.0, NOW) == NOW


def test_a_bench_in_another_zone_tells_the_same_moment() -> None:
    at = NOW - HOUR
    there = at.astimezone(timezone(timedelta(hours=5, minutes=45)))
    moment = occurred_at(there, 3600.0, NOW)
    assert (moment, moment.tzinfo) == (at, UTC)


@given(
    st.datetimes(timezones=st.sampled_from([UTC, timezone(timedelta(hours=14)), timezone(timedelta(hours=-12))])),
    st.floats(min_value=0, allow_infinity=False),
)
def test_any_clock_and_any_age_give_a_moment_of_the_last_ninety_days(at: datetime, age_s: float) -> None:
    moment = occurred_at(at, age_s, NOW)
    assert NOW - timedelta(seconds=AGE_BELIEVED_S + CLOCKS_AGREE_S) <= moment <= NOW


@given(st.floats(0, 1e6), st.floats(0, 1e6), st.floats(-1e9, 1e9))
def test_a_wrong_clock_never_turns_two_reads_around(first_s: float, second_s: float, off_s: float) -> None:
    """Two reads, delivered together by a bench whose clock is off by as much for both."""
    older, newer = max(first_s, second_s), min(first_s, second_s)
    off = timedelta(seconds=off_s)
    moments = [occurred_at(NOW - timedelta(seconds=age_s) + off, age_s, NOW) for age_s in (older, newer)]
    slack = timedelta(microseconds=2)  # an age in seconds is a float
    assert moments[0] <= moments[1] + slack


@pytest.mark.parametrize(
    "fields",
    [
        {"read_id": "short"},
        {"read_id": "0123456789\n"},
        {"read_id": "x" * 65},
        {"read_id": "../../etc/passwd"},
        {"text": "\u0000"},
        {"text": "1000000137\n"},
        {"text": "x" * 301},
        {"text": 1_000_000_137},
        {"at": "2026-11-27T12:00:00"},
        {"at": "yesterday"},
        {"age_s": -1},
        {"age_s": None},
        {"device": ""},
        {"device": "\u001b[2J"},
        {"station": "x" * 121},
        {"colour": "navy"},
    ],
)
def test_a_delivery_that_is_not_quite_right_is_no_delivery(fields: dict[str, object]) -> None:
    with pytest.raises(msgspec.ValidationError):
        delivery(**fields)


@pytest.mark.parametrize("text", ["", "not a code", "\\x00\\x1b…", "Füße", "'; DROP TABLE ledger; --"])
def test_anything_printable_may_have_been_read(text: str) -> None:
    assert delivery(text=text).text == text


def test_a_refusal_is_told_in_one_line() -> None:
    assert Refusal(what="It is wrong", where="text", do="Mend it").line() == "text: It is wrong. Mend it"
    assert Refusal(what="It is wrong").line() == "It is wrong."
