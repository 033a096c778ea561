"""What times say of a standard: a mean, a range, a bound, or nothing; counted by hand."""

from collections.abc import Sequence
from datetime import timedelta

import msgspec
import pytest

from floor.core.cost.evidence import Evidence, evidence
from floor.core.times.cycle import StepTime, Walks
from floor.core.times.share import Share
from tests.making import MONDAY, Play

DAYS = 5


def some_times(shares: Sequence[Share], step: int = 0, days: int = DAYS) -> Evidence:
    """What so many alike days say, on each of which a dark garment's step took all of these."""
    play = Play()
    [piece] = play.job()
    walks = Walks(play.floor, play.shop)
    one = walks.of(play.piece(piece))[step]
    times = [_on(one, day, n, share) for day in range(days) for n, share in enumerate(shares)]
    return evidence(walks, play.shop.hours, times)


def _on(one: StepTime, day: int, n: int, share: Share) -> StepTime:
    done = MONDAY + timedelta(days=day, minutes=n)
    change = {"machine": share} if one.step.has_machine else {"hands": share}
    return msgspec.structs.replace(one, done=done, badge="A", **change)


def seen(*seconds: float) -> list[Share]:
    return [Share(each, "seen", most_s=each) for each in seconds]


def measured(*seconds: float) -> list[Share]:
    return [Share(each, "measured", most_s=each) for each in seconds]


TOO_LONG = Share(90, "standard", "too long to be one step")


def test_times_that_were_seen_at_both_ends_have_a_mean() -> None:
    shown = some_times(seen(80, 90, 130))
    assert (shown.how, shown.n, shown.days, shown.mean_s) == ("mean", 15, 5, 100)


def test_four_days_have_no_mean() -> None:
    assert some_times(seen(80, 90, 130), days=4).how == "nothing"


def test_a_time_that_lies_far_out_is_of_another_kind() -> None:
    """Four robust deviations of the logarithms: of 90 s with a spread of a tenth that is a few minutes."""
    usual = [82, 85, 88, 90, 92, 95, 98]
    assert some_times(seen(*usual, 900)).mean_s == some_times(seen(*usual)).mean_s == 90


def test_times_that_were_seen_at_their_end_alone_have_a_range() -> None:
    shown = some_times(measured(80, 90, 130))
    assert (shown.how, shown.mean_s) == ("range", None)
    assert shown.low_s == pytest.approx(100)
    assert shown.high_s == pytest.approx(100)


def test_the_time_of_a_machine_is_a_bound() -> None:
    shown = some_times(measured(110, 120), step=1)
    assert (shown.how, shown.low_s) == ("at most", None)
    assert shown.high_s == pytest.approx(115)


@pytest.mark.parametrize(("too_long", "how"), [(1, "range"), (2, "nothing")])
def test_where_more_than_a_fifth_are_too_long_nothing_is_said(too_long: int, how: str) -> None:
    assert some_times([*measured(80, 90, 100, 110), *[TOO_LONG] * too_long]).how == how


@pytest.mark.parametrize(
    ("how", "standard_s", "better_s"),
    [
        *(("mean", 79, 85), ("mean", 80, None), ("mean", 90, None), ("mean", 91, 85)),
        *(("range", 79, None), ("range", 91, None), ("range", 92, 90)),
        *(("at most", 79, None), ("at most", 91, None), ("at most", 92, 90)),
    ],
)
def test_a_standard_is_wrong_where_its_own_data_say_so(how: str, standard_s: float, better_s: float | None) -> None:
    """Hands and machines that wait look as if they took longer: only a mean says that a standard is too short."""
    bounds = {"how": how, "n": 9, "days": 9, "low_s": 80, "high_s": 90}
    shown = msgspec.convert({**bounds, "mean_s": 85} if how == "mean" else bounds, Evidence)
    assert shown.better_than(standard_s) == better_s


def test_no_times_say_nothing() -> None:
    assert Evidence(how="nothing", n=0, days=0).better_than(90) is None
