"""Times of pieces: queuing, processing and cycle time, in the elements of ISO 22400-2.

Never knows the present: every time is between two facts of the ledger.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from statistics import fmean, median, quantiles

from msgspec import Struct

from floor.state import Floor, Piece, Walked
from shared.hours import Hours
from shared.route import Step

DERIVED_MAX = 3
"""A start that was not seen is taken to lie at most so many standard times before the end."""


class StepTime(Struct, frozen=True, kw_only=True):
    """When one step of one piece began and ended. `derived`: the start was not seen; `assumed`: neither was."""

    step: Step
    started: datetime | None
    done: datetime | None
    station: str | None
    badge: str | None
    derived: bool
    assumed: bool
    ready: datetime | None
    """When the step before was done, or the piece was opened: from then on it was queuing. None where nobody knows."""
    passed: datetime | None = None
    """When a later read showed that it must have been done."""

    @property
    def over(self) -> datetime | None:
        """When it was done, or, where nobody saw that, when it was taken as done."""
        return self.done or self.passed

    @property
    def queuing(self) -> timedelta | None:
        """From the end of the step before to the start of this one, elapsed; never below nothing."""
        return _between(self.ready, self.started)

    @property
    def processing(self) -> timedelta | None:
        """From its start to its end, elapsed; never below nothing."""
        return _between(self.started, self.done)


def _between(start: datetime | None, end: datetime | None) -> timedelta | None:
    return None if start is None or end is None else max(end - start, timedelta(0))


def standard_s(step: Step) -> float:
    """How long a step takes by the standard: hands and machine, or the dwell."""
    return step.touch_s + step.machine_s + step.min_s


def step_times(floor: Floor, piece: Piece) -> list[StepTime]:
    """The times of every step of a piece, in the order of its route."""
    times = []
    ready: datetime | None = piece.opened
    for step, walked in zip(piece.route, piece.walk, strict=True):
        derived = step.scans == "out" and walked.done is not None
        started = _derived_start(floor, step, walked, ready) if derived else walked.started
        times.append(
            StepTime(
                step=step,
                started=started,
                done=walked.done,
                station=walked.station,
                badge=walked.badge,
                derived=derived,
                assumed=walked.assumed,
                ready=ready,
                passed=walked.passed,
            )
        )
        ready = walked.done
    return times


def _derived_start(floor: Floor, step: Step, walked: Walked, ready: datetime | None) -> datetime | None:
    """A start that nobody scanned: the last read of the same hands at the same station, within bounds.

    At most three standard times before the end, not before the step before was done; one standard time before
    the end where those hands read nothing here before.
    """
    assert walked.done is not None
    standard = timedelta(seconds=standard_s(step))
    before = _touched_before(floor, walked)
    start = walked.done - standard if before is None else max(before, walked.done - DERIVED_MAX * standard)
    return start if ready is None else min(max(start, ready), walked.done)


def _touched_before(floor: Floor, walked: Walked) -> datetime | None:
    station = floor.stations.get(walked.station or "")
    touched = station.touched.get(walked.badge or "", []) if station else []
    index = bisect_left(touched, walked.done) if walked.done else 0
    return touched[index - 1] if index else None


class Cycle(Struct, frozen=True):
    """Cycle time of a piece: from the start of its first step to the end of its last, elapsed and working."""

    elapsed: timedelta
    working: timedelta


def cycle_time(times: Sequence[StepTime], hours: Hours) -> Cycle | None:
    """The cycle time of a finished piece; None for any other."""
    started = next((time.started for time in times if time.started), None)
    done = times[-1].done if times else None
    if started is None or done is None:
        return None
    return Cycle(max(done - started, timedelta(0)), hours.working(started, done))


class Figures(Struct, frozen=True, kw_only=True):
    """What a set of durations looks like, seconds; how many of them are derived, and how many were left out."""

    n: int
    median: float | None
    p90: float | None
    mean: float | None
    derived: int
    assumed: int


def figures(durations: Iterable[timedelta], derived: int = 0, assumed: int = 0) -> Figures:
    """Median, 90th percentile (linear between order statistics, as the default of spreadsheets) and mean."""
    seconds = sorted(duration.total_seconds() for duration in durations)
    if not seconds:
        return Figures(n=0, median=None, p90=None, mean=None, derived=derived, assumed=assumed)
    p90 = seconds[0] if len(seconds) == 1 else quantiles(seconds, n=10, method="inclusive")[-1]
    return Figures(
        n=len(seconds), median=median(seconds), p90=p90, mean=fmean(seconds), derived=derived, assumed=assumed
    )
