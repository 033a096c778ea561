"""Times of pieces: queuing, processing and cycle time, in the elements of ISO 22400-2.

Never knows the present: every time is between two facts of the ledger.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from statistics import fmean, median, quantiles

from msgspec import Struct

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece, Walked
from floor.core.times.hands import Hands
from floor.core.times.machines import Machines
from floor.core.times.share import Share
from floor.core.times.shift import Shifts
from floor.core.times.spans import Measure, elapsed
from floor.core.times.stays import Stay, broken_off
from shared.files.shop import Shop
from shared.hours import Hours
from shared.route import Step


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
    hands: Share
    """What it took of hands."""
    machine: Share | None
    """What it took of its machine; None where it has none."""
    broken_off: Sequence[Stay] = ()
    """Its stays in a press that went down before its time was over."""

    @property
    def share(self) -> Share:
        """What sets its time: the machine, or the hands where it has none."""
        return self.machine or self.hands

    @property
    def stood_in(self) -> bool:
        """Whether the standard stands in for its time, which tells nothing new then."""
        return self.share.basis == "standard"

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


def _derived_start(step: Step, walked: Walked, share: Share, ready: datetime | None) -> datetime:
    """A start that nobody scanned: what is known to be worked, counted back from its end, or since it could begin."""
    done = walked.done
    assert done is not None, "only a step that is done has a start to derive"
    if share.basis == "measured" and share.began is not None:
        return share.began
    took_s = share.seconds if share.basis == "shared" else standard_s(step)
    earliest = max((moment for moment in (share.began, ready) if moment), default=None)
    began = done - timedelta(seconds=took_s)
    return began if earliest is None else min(max(began, earliest), done)


class Walks:
    """The times of every piece of a floor, those of each worked out once, when they are first asked for.

    Good for as long as the floor does not move: one report, one page.
    """

    def __init__(self, floor: Floor, shop: Shop) -> None:
        self.floor = floor
        shifts = Shifts(shop.hours)
        self.machines = Machines(floor, shifts)
        self.hands = Hands(floor, shop, shifts, self.machines)
        self._times: dict[str, list[StepTime]] = {}

    def of(self, piece: Piece) -> list[StepTime]:
        """The times of every step of a piece, in the order of its route."""
        times = self._times.get(piece.code)
        if times is None:
            times = self._times[piece.code] = list(self._step_times(piece))
        return times

    def _step_times(self, piece: Piece) -> Iterator[StepTime]:
        ready: datetime | None = piece.opened
        for n, (step, walked) in enumerate(zip(piece.route, piece.walk, strict=True)):
            hands = self.hands.of(piece, n)
            machine = self.machines.of(piece, n) if step.has_machine else None
            derived = step.scans == "out" and walked.done is not None
            yield StepTime(
                step=step,
                started=_derived_start(step, walked, machine or hands, ready) if derived else walked.started,
                done=walked.done,
                station=walked.station,
                badge=self.hands.whose(walked.badge) if walked.done else walked.badge,
                derived=derived,
                assumed=walked.assumed,
                ready=ready,
                passed=walked.passed,
                hands=hands,
                machine=machine,
                broken_off=broken_off(piece, n) if step.is_press else (),
            )
            ready = walked.done

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
