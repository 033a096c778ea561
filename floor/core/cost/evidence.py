"""What the times of one step say of its standard: a mean with its bounds, a range, an upper bound, or nothing.

Never says more than scans can know: hands and machines that waited look as if they had worked.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from statistics import fmean
from typing import Literal

from msgspec import Struct

from floor.core.times.cycle import StepTime, Walks
from floor.core.times.robust import MEANS_MIN, mean_interval, without_far_logs
from shared.hours import Hours

How = Literal["mean", "range", "at most", "nothing"]
"""mean: scanned in and out, 95 % sure. range: scanned at the end alone, so machines that hands loaded meanwhile may lie
in it, or not. at most: of a machine, which may have waited for hands. nothing: too few, or other things lay between."""
LONG = {"too long to be one step", "waited"}
"""Why a time was not believed that was too long to be one."""
LONG_MAX = 0.2
"""Where more of the times than this are too long, those that are not say nothing of the others."""

CLOSE = 0.02
"""A bound that lies below the standard by no more than this share of it is no news: it is uncertain, too."""

Day = tuple[str | None, date]
"""A badge, and the working day on which it worked."""


class Evidence(Struct, frozen=True, kw_only=True):
    """What is known of a step's mean time, seconds, from `n` times of so many badge-days."""

    how: How
    n: int
    days: int
    mean_s: float | None = None
    low_s: float | None = None
    high_s: float | None = None

    @property
    def sure(self) -> bool:
        """Whether its bounds hold the true mean in 95 of 100 shops."""
        return self.how == "mean"

    def better_than(self, standard_s: float) -> float | None:
        """The mean that it holds against a standard, or an upper bound below it; None where the standard may be right.

        A standard below a range may be right: hands that wait for work look as if they took longer.
        """
        if self.mean_s is None or self.low_s is None or self.high_s is None:
            return self.high_s if self.high_s is not None and self.high_s < (1 - CLOSE) * standard_s else None
        return None if self.low_s <= standard_s <= self.high_s else self.mean_s


def evidence(walks: Walks, hours: Hours, times: Sequence[StepTime]) -> Evidence:
    """What the times of one step say, all of the same standard."""
    known = [time for time in times if not time.stood_in and time.share.seconds > 0]
    seen = _by_day(hours, (time for time in known if time.share.basis == "seen"))
    if len(seen) >= MEANS_MIN and not times[0].step.has_machine:
        return _mean(seen)
    days = _by_day(hours, known)
    too_long = sum(time.share.why in LONG for time in times)
    if len(days) < MEANS_MIN or too_long > LONG_MAX * (len(known) + too_long):
        return Evidence(how="nothing", n=len(known), days=len(days))
    return _at_most(days) if times[0].step.has_machine else _range(walks, days)


def _by_day(hours: Hours, times: Iterable[StepTime]) -> Mapping[Day, Sequence[StepTime]]:
    days: dict[Day, list[StepTime]] = defaultdict(list)
    for time in times:
        assert time.done is not None, "only what is done has a time"
        days[time.badge, hours.shift_of(time.done)].append(time)
    return days


def _mean(days: Mapping[Day, Sequence[StepTime]]) -> Evidence:
    """The mean of the badge-days' means: the times of one pair of hands on one day are alike."""
    usual = set(without_far_logs([time.share.seconds for its in days.values() for time in its]))
    kept = [[time.share.seconds for time in its if time.share.seconds in usual] for its in days.values()]
    means = [fmean(its) for its in kept if its]
    if len(means) < MEANS_MIN:
        return Evidence(how="nothing", n=sum(map(len, kept)), days=len(means))
    low_s, high_s = mean_interval(means)
    return Evidence(
        how="mean", n=sum(map(len, kept)), days=len(means), mean_s=fmean(means), low_s=max(low_s, 0.0), high_s=high_s
    )


def _at_most(days: Mapping[Day, Sequence[StepTime]]) -> Evidence:
    _, high_s = mean_interval(_means(days, lambda time: time.share.seconds))
    return Evidence(how="at most", n=sum(map(len, days.values())), days=len(days), high_s=high_s)


def _range(walks: Walks, days: Mapping[Day, Sequence[StepTime]]) -> Evidence:
    """From what is left if all machines that hands loaded that day were loaded beside it, to what it is if none was.

    What is identified is a range, not a point: Manski, "Partial Identification of Probability Distributions" (2003).
    """
    _, high_s = mean_interval(_means(days, lambda time: time.share.most_s))
    low_s, _ = mean_interval([_least_s(walks, day, times) for day, times in days.items()])
    return Evidence(how="range", n=sum(map(len, days.values())), days=len(days), low_s=max(low_s, 0.0), high_s=high_s)


def _means(days: Mapping[Day, Sequence[StepTime]], seconds: Callable[[StepTime], float]) -> list[float]:
    return [fmean(map(seconds, times)) for times in days.values()]


def _least_s(walks: Walks, day: Day, times: Sequence[StepTime]) -> float:
    badge, on = day
    who = walks.hands.whose(badge)
    shift = walks.hands.shift(who, on) if who else None
    loading_s = shift.loading_s if shift else 0.0
    return max(sum(time.share.most_s for time in times) - loading_s, 0.0) / len(times)
