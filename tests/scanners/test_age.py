"""How old a read is, whatever is done to the clock on the wall."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from scanners.age import Stamp, Timepiece, age_s
from shared.clock import SetClock
from tests.scanners.remote_rig import Watch
from tests.scanners.rig import NOON

stamps = st.builds(
    Stamp,
    st.datetimes(timezones=st.just(UTC)),
    st.sampled_from(["one", "two"]),
    st.floats(min_value=0, max_value=1e9),
)


def test_a_read_is_as_old_as_the_time_that_went_by() -> None:
    watch = Watch()
    then = watch()
    watch.pass_s(90)
    assert age_s(then, watch()) == 90


def test_a_clock_that_is_set_in_between_does_no_harm() -> None:
    for moment in (datetime(1970, 1, 1, tzinfo=UTC), NOON + timedelta(hours=5)):
        watch = Watch()
        then = watch()
        watch.pass_s(60)
        watch.set(moment)
        assert age_s(then, watch()) == 60


def test_after_a_reboot_the_wall_clock_has_to_do() -> None:
    watch = Watch()
    then = watch()
    watch.reboot(off_s=7_200)
    assert age_s(then, watch()) == 7_200


def test_no_read_comes_from_the_future_even_if_the_clock_fell_back_at_a_reboot() -> None:
    watch = Watch()
    then = watch()
    watch.reboot(off_s=10)
    watch.set(NOON - timedelta(days=3650))
    assert age_s(then, watch()) == 0


@given(stamps, stamps)
def test_an_age_is_never_negative(then: Stamp, now: Stamp) -> None:
    assert age_s(then, now) >= 0


def test_two_looks_at_the_real_clocks_are_of_one_boot_and_in_order() -> None:
    timepiece = Timepiece(SetClock(NOON))
    first, second = timepiece.stamp(), timepiece.stamp()
    assert (first.boot, first.at) == (second.boot, NOON)
    assert second.up_s >= first.up_s


def test_another_program_on_the_same_machine_sees_the_same_boot() -> None:
    assert Timepiece(SetClock(NOON)).stamp().boot == Timepiece(SetClock(NOON)).stamp().boot
