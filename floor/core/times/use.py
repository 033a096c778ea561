"""The use of printers and presses, and the execution of jobs, in the time elements of ISO 22400-2.

Never counts a moment twice: two pieces in one press are one busy press. A stay that was broken off because the press
went down kept it busy, and added no value.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from msgspec import Struct

from floor.core.state.job import Job
from floor.core.state.piece import Piece
from floor.core.times.cycle import StepTime, Walks
from floor.core.times.elements import NO_TIME, Elements
from floor.core.times.spans import Measure, Span, covered, elapsed, union, within
from shared.files.shop import Shop
from shared.hours import Hours


class InProcess(Struct, frozen=True):
    """A piece in process: since when, until when, and until when that added value. A press over its time adds none."""

    time: StepTime
    station: str | None
    start: datetime
    end: datetime
    adds_until: datetime


def _stays_of(walks: Walks, piece: Piece, now: datetime) -> Iterator[InProcess]:
    """Each time that a piece was in process; what has no end seen ends when the piece left the floor, or now."""
    left = piece.ended or piece.cancelled or now
    for time in walks.of(piece):
        for stay in time.broken_off:
            yield InProcess(time, stay.station, stay.start, stay.end, adds_until=stay.start)
        if time.started is not None:
            end = max(_worked_until(time) or left, time.started)
            dwells = time.step.is_press
            adds_until = min(end, time.started + timedelta(seconds=time.step.min_s)) if dwells else end
            yield InProcess(time, time.station, time.started, end, adds_until)


def _worked_until(time: StepTime) -> datetime | None:
    """When it was done; a press that was left closed worked for its standard, whenever it was opened at last."""
    if time.started is not None and time.machine is not None and time.machine.why == "left closed":
        return time.started + timedelta(seconds=time.step.occupied_s)
    return time.done


def _elements(stays: Sequence[InProcess], there: Sequence[Span], window: Span, measure: Measure) -> Elements:
    """The elements of what was in process and what was there at all. Nobody scans transport: it is within queuing."""
    spans = within(((stay.start, stay.end) for stay in stays), *window)
    busy = covered(spans, measure)
    production = covered(within(((stay.start, stay.adds_until) for stay in stays), *window), measure)
    present = covered([*spans, *within(there, *window)], measure)
    return Elements(production=production, delay=busy - production, queuing=present - busy)


# Jobs


class JobTimes(Struct, frozen=True, kw_only=True):
    """The execution of a job, from its first start until its last piece left the floor, or until now."""

    started: datetime
    until: datetime
    elapsed: Elements
    working: Elements
    steps: int
    """Those that stand in it; so many of them are derived, and so many more were assumed and are left out."""
    derived: int
    assumed: int


def job_times(walks: Walks, hours: Hours, job: Job, now: datetime) -> JobTimes | None:
    """The time elements of a job: busy while any of its pieces is in process; None where nothing was begun.

    A piece that was given up before it was begun, such as the remake of one that was not spoiled after all, never was.
    """
    all_pieces = ((piece, list(_stays_of(walks, piece, now))) for piece in job.pieces)
    by_piece = [(piece, its) for piece, its in all_pieces if its or not piece.cancelled]
    stays = [stay for _, its in by_piece for stay in its]
    if not stays:
        return None
    there = [_there(piece, its, now) for piece, its in by_piece]
    window = min(stay.start for stay in stays), max(end for _, end in there)
    return JobTimes(
        started=window[0],
        until=window[1],
        elapsed=_elements(stays, there, window, elapsed),
        working=_elements(stays, there, window, hours.working),
        steps=len(stays),
        derived=sum(stay.time.derived for stay in stays),
        assumed=sum(time.assumed for piece in job.pieces for time in walks.of(piece)),
    )


def _there(piece: Piece, stays: Sequence[InProcess], now: datetime) -> Span:
    """From when to when a piece was on the floor: since it was opened until it left, whatever clocks gone wrong say."""
    start = min([piece.opened, *(stay.start for stay in stays)])
    return start, max([start, piece.ended or piece.cancelled or now, *(stay.end for stay in stays)])


# Stations


class HourUse(Struct, frozen=True):
    """An hour by the shop's clock: for how long the shop was open, and the station busy, seconds."""

    starts: datetime
    open_s: float
    busy_s: float


class StationUse(Struct, frozen=True, kw_only=True):
    """What one printer or press did in a span of time.

    Its planned busy time (PBT) is the time that the shop was open. Availability would need the downtime that was
    planned, which nobody tells.
    """

    station: str
    elapsed: Elements
    working: Elements
    planned_busy: timedelta
    down: timedelta
    """For how long it was down while the shop was open."""
    steps: int
    """Those that stand in it; so many of them are derived, and so many more were assumed, here or at its like."""
    derived: int
    assumed: int
    hours: Sequence[HourUse]

    @property
    def allocation_efficiency(self) -> float | None:
        """Which share of its planned busy time it was busy (AUBT / PBT, ISO 22400-2), in opening hours."""
        return self.working.allocation_efficiency(self.planned_busy)

    @property
    def utilization_efficiency(self) -> float | None:
        """Which share of the time that it was busy added value (APT / AUBT, ISO 22400-2)."""
        return self.elapsed.utilization_efficiency


def station_uses(walks: Walks, shop: Shop, start: datetime, until: datetime) -> list[StationUse]:
    """The use of every printer and press from one moment to another: those of the shop file, then others."""
    stays: dict[str, list[InProcess]] = {name: [] for name in shop.stations if _has_machine(shop, name)}
    assumed: list[StepTime] = []
    for piece in walks.since(start):
        for stay in _stays_of(walks, piece, until):
            if stay.time.step.has_machine and stay.start < until and stay.end >= start:
                stays.setdefault(stay.station or "", []).append(stay)
        assumed += (time for time in walks.of(piece) if time.assumed and time.over and start <= time.over < until)
    hours = _hours_between(shop.hours, start, until)
    return [_use(walks, shop, name, its, assumed, hours) for name, its in stays.items()]


def _has_machine(shop: Shop, station: str) -> bool:
    return any(shop.file.steps[key].has_machine for key in shop.stations[station].steps)


def _use(
    walks: Walks,
    shop: Shop,
    name: str,
    stays: Sequence[InProcess],
    assumed: Iterable[StepTime],
    hours: Sequence[datetime],
) -> StationUse:
    window = hours[0], hours[-1]
    station = walks.floor.stations.get(name)
    outages = station.outages.spans(window[1]) if station else ()
    return StationUse(
        station=name,
        elapsed=_elements(stays, (), window, elapsed),
        working=_elements(stays, (), window, shop.hours.working),
        planned_busy=shop.hours.working(*window),
        down=covered(within(outages, *window), shop.hours.working),
        steps=len(stays),
        derived=sum(stay.time.derived for stay in stays),
        assumed=sum(shop.does(name, time.step.key) for time in assumed),
        hours=_by_hour(shop.hours, hours, within(((stay.start, stay.end) for stay in stays), *window)),
    )


def _hours_between(hours: Hours, start: datetime, until: datetime) -> list[datetime]:
    """The moments at which hours begin, and the last one's end. They start anew with each day of the shop's zone."""
    moments = {start, until}
    day = hours.day_of(start)
    while (begins := hours.day_bounds(day)[0]) < until:
        ends = hours.day_bounds(day)[1]
        moments |= {at for n in range(26) if start < (at := begins + n * timedelta(hours=1)) < min(ends, until)}
        day += timedelta(days=1)
    return sorted(moments)


def _by_hour(hours: Hours, moments: Sequence[datetime], spans: Iterable[Span]) -> list[HourUse]:
    busy = [NO_TIME] * len(moments)
    for start, end in union(spans):
        first, last = bisect_right(moments, start) - 1, bisect_left(moments, end)
        for n in range(first, last):
            busy[n] += min(end, moments[n + 1]) - max(start, moments[n])
    return [
        HourUse(starts, hours.working(starts, ends).total_seconds(), each.total_seconds())
        for (starts, ends), each in zip(pairwise(moments), busy, strict=False)
    ]
