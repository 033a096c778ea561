"""Times of pieces: queuing, processing and cycle time, in the elements of ISO 22400-2.

Never knows the present: every time is between two facts of the ledger.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from statistics import fmean, median, quantiles

from msgspec import Struct

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece, Walked
from floor.core.times.spans import Measure, elapsed
from shared.hours import Hours
from shared.route import Step

DERIVED_MAX = 3
"""A start that was not seen is taken to lie at most so many standard times before the end."""


class StepTime(Struct, frozen=True, kw_only=True, gc=False):
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
    stood_in: bool = False
    """The standard stands in for the start, for no read comes near it: the time tells nothing new."""

    @property
    def over(self) -> datetime | None:
        """When it was done, or, where nobody saw that, when it was taken as done."""
        return self.done or self.passed

    @property
    def queuing(self) -> timedelta | None:
        """From the end of the step before to the start of this one, elapsed; never below nothing."""
        return self.queued(elapsed)

    @property
    def processing(self) -> timedelta | None:
        """From its start to its end, elapsed; never below nothing."""
        return self.processed(elapsed)

    def queued(self, measure: Measure) -> timedelta | None:
        """Its queuing time, elapsed or working, as it is measured; None where it is not known."""
        return None if self.ready is None or self.started is None else measure(self.ready, self.started)

    def processed(self, measure: Measure) -> timedelta | None:
        """Its processing time, elapsed or working, as it is measured; None where it is not known."""
        return None if self.started is None or self.done is None else measure(self.started, self.done)


def standard_s(step: Step) -> float:
    """How long a step takes by the standard: hands and machine, or the dwell."""
    return step.touch_s + step.occupied_s


def step_times(floor: Floor, piece: Piece) -> list[StepTime]:
    """The times of every step of a piece, in the order of its route."""
    times = []
    ready: datetime | None = piece.opened
    for step, walked in zip(piece.route, piece.walk, strict=True):
        derived = step.scans == "out" and walked.done is not None
        started, stood_in = _derived_start(floor, step, walked, ready) if derived else (walked.started, False)
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
                stood_in=stood_in,
            )
        )
        ready = walked.done
    return times


def _derived_start(floor: Floor, step: Step, walked: Walked, ready: datetime | None) -> tuple[datetime, bool]:
    assert walked.done is not None
    return derived_start(walked.done, timedelta(seconds=standard_s(step)), _touched_before(floor, walked), ready)


def derived_start(
    done: datetime, standard: timedelta, touched: datetime | None, ready: datetime | None
) -> tuple[datetime, bool]:
    """A start that nobody scanned, and whether it rests on the standard alone.

    The work did not begin before the last read of the same hands at the same station (`touched`), nor before the step
    before was done (`ready`). The later of the two is its start, if it is at most three standard times before the end.
    From further off nobody knows when the hands came: then it took one standard time, for three would count waiting as
    work. The standard is also the most where those hands read nothing here before.
    """
    most = standard if touched is None else DERIVED_MAX * standard
    earliest = max((moment for moment in (touched, ready) if moment), default=None)
    if earliest is None or done - earliest > most:
        return done - standard, True
    return min(earliest, done), False


def _touched_before(floor: Floor, walked: Walked) -> datetime | None:
    station = floor.stations.get(walked.station or "")
    touched = station.touched.get(walked.badge or "", []) if station else []
    index = bisect_left(touched, walked.done) if walked.done else 0
    return touched[index - 1] if index else None


class Walks:
    """The times of every piece of a floor, those of each worked out once, when they are first asked for.

    Good for as long as the floor does not move: one report, one page.
    """

    def __init__(self, floor: Floor) -> None:
        self.floor = floor
        self._times: dict[str, list[StepTime]] = {}

    def of(self, piece: Piece) -> list[StepTime]:
        """The times of every step of a piece, in the order of its route."""
        times = self._times.get(piece.code)
        if times is None:
            times = self._times[piece.code] = step_times(self.floor, piece)
        return times

    def since(self, moment: datetime) -> Iterator[Piece]:
        """The pieces to which something happened from a moment on, or that are in a step still."""
        for piece in self.floor.pieces.values():
            if piece.facts and (piece.latest >= moment or piece.in_work):
                yield piece

    def worked_between(self, start: datetime, end: datetime) -> list[StepTime]:
        """Every step that was done, or taken as done, from one moment on and before another."""
        times = (time for piece in self.since(start) for time in self.of(piece))
        return [time for time in times if time.over is not None and start <= time.over < end]


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
    return Cycle(elapsed(started, done), hours.working(started, done))


class Figures(Struct, frozen=True, kw_only=True):
    """What a set of durations looks like, seconds; how many of them are derived, and how many were left out."""

    n: int
    median: float | None
    p90: float | None
    mean: float | None
    derived: int
    assumed: int
    p10: float | None = None
    p25: float | None = None
    p75: float | None = None


def figures(durations: Iterable[timedelta], derived: int = 0, assumed: int = 0) -> Figures:
    """Median, percentiles (linear between order statistics, as the default of spreadsheets) and mean."""
    seconds = sorted(duration.total_seconds() for duration in durations)
    if not seconds:
        return Figures(n=0, median=None, p90=None, mean=None, derived=derived, assumed=assumed)
    several = seconds if len(seconds) > 1 else 2 * seconds
    p10, *_, p90 = quantiles(several, n=10, method="inclusive")
    p25, _, p75 = quantiles(several, n=4, method="inclusive")
    return Figures(
        n=len(seconds),
        median=median(seconds),
        p90=p90,
        mean=fmean(seconds),
        derived=derived,
        assumed=assumed,
        p10=p10,
        p25=p25,
        p75=p75,
    )
