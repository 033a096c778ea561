"""What each step took of its machine, whoever read it: the line of the reads at its station.

Never gives a second of a machine's place out twice: pieces that lie in one press together share it.
"""

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from floor.core.times.share import LOADING, Basis, Report, Share, end_of, report_of, typed
from floor.core.times.shift import Shifts
from floor.core.times.stays import Stay, stays_of
from shared.events.reads import StepStarted
from shared.events.recorded import AT, BY_MOMENT
from shared.route import Step

BOUND = 1.25
"""Up to so many standards a machine's time is what was measured; beyond that the rest is waiting."""
NEIGHBOURS = timedelta(hours=36)
"""From noon to the end of the day after."""
LEFT_CLOSED = 3
"""Beyond so many standards nobody knows when the piece could have come out: the standard stands in."""


class Machines:
    """The machine's share of every step of a floor; good for as long as the floor does not move."""

    def __init__(self, floor: Floor, shifts: Shifts) -> None:
        self._floor = floor
        self._shifts = shifts
        self._places: dict[tuple[str, date], dict[Stay, float]] = {}

    def of(self, piece: Piece, n: int) -> Share:
        """The machine's share of a step that has one and is done, or taken as done."""
        row, step = end_of(piece, n), piece.route[n]
        if row is None:
            return Share(step.occupied_s, "standard", "not seen")
        report = Report(row, piece, n, ends=True, step=step)
        return self._stayed(report) if step.scans == "in_out" else self._ran(report)

    def free_since(self, report: Report) -> datetime | None:
        """Since when a step of a machine could have begun: the machine was free, and the piece was ready."""
        return max((moment for moment in (self._read_before(report), report.ready) if moment), default=None)

    def _read_before(self, report: Report) -> datetime | None:
        """When the piece before was read out of the same machine."""
        rows = self._floor.stations[report.row.station or ""].steps
        for index in range(bisect_left(rows, BY_MOMENT(report.row), key=BY_MOMENT) - 1, -1, -1):
            other = report_of(self._floor, rows[index])
            if other is not None and other.ends and other.step.has_machine and other.step.scans == "out":
                return other.at
        return None

    def _ran(self, report: Report) -> Share:
        """A machine that is read when it is done began when it was free and the piece ready, once it was loaded."""
        step, began = report.step, self.free_since(report)
        if began is None:
            return Share(step.machine_s, "standard", "nothing before")
        seconds = max(self._shifts.worked(began, report.at).total_seconds() - step.touch_s, 0.0)
        if typed(report.row):
            return Share(min(seconds, step.machine_s), "standard", "moment typed", began)
        if seconds > BOUND * step.machine_s:
            return Share(step.machine_s, "standard", "waited", began)
        return Share(seconds, "measured", began=began)

    def _stayed(self, report: Report) -> Share:
        step, stays = report.step, list(stays_of(report.piece, report.n))
        if not stays or stays[-1].ended != "done" or not stays[-1].station:
            return Share(step.occupied_s, "standard", "not seen")
        *broken_off, stay = stays
        lost_s = sum(map(self._shared_s, broken_off))
        shared_s = self._shared_s(stay)
        if _left_closed(stay, step):
            return Share(min(step.occupied_s, shared_s) + lost_s, "standard", "left closed", stay.start)
        alone = shared_s >= self._shifts.worked(stay.start, stay.end).total_seconds()
        basis: Basis = "seen" if alone else "shared"
        if step.is_press:
            return Share(shared_s + lost_s, basis, began=stay.start)
        return _printed(step, shared_s, basis, stay.start)

    def _shared_s(self, stay: Stay) -> float:
        """Its seconds in a machine, each moment divided by those that lie in it together.

        Worked out for a day at a time: what counts of a stay is over long before a day has passed.
        """
        of_day = stay.station, stay.start.date()
        if of_day not in self._places:
            self._places[of_day] = self._divided(list(self._stays(*of_day)))
        return self._places[of_day].get(stay, 0.0)

    def _divided(self, stays: Sequence[tuple[Stay, datetime]]) -> dict[Stay, float]:
        """What each piece takes: what one place had given when it counts no longer, less what it had at its start."""
        change = Counter(stay.start for stay, _ in stays)
        change.subtract(end for _, end in stays)
        given_s: dict[datetime, float] = {}
        inside, sum_s = 0, 0.0  # counted anew whenever the press stood empty
        before: datetime | None = None
        for moment in sorted(change):
            if inside and before is not None:
                sum_s += self._shifts.worked(before, moment).total_seconds() / inside
            else:
                sum_s = 0.0
            inside += change[moment]
            given_s[moment] = sum_s
            before = moment
        return {stay: given_s[end] - given_s[stay.start] for stay, end in stays}

    def _stays(self, station: str, day: date) -> Iterator[tuple[Stay, datetime]]:
        """Those that began on a day, by UTC, or on the one before or after; and until when they count."""
        rows = self._floor.stations[station].steps
        noon = datetime.combine(day, time(12), UTC)
        first, last = (bisect_left(rows, noon + part * NEIGHBOURS, key=AT) for part in (-1, 1))
        started = {(row.event.piece, row.event.step) for row in rows[first:last] if isinstance(row.event, StepStarted)}
        for code, n in started:
            piece, step = self._floor.pieces[code], self._floor.pieces[code].route[n]
            for stay in stays_of(piece, n) if step.has_machine else ():
                if stay.station == station and stay.start < stay.end:
                    yield stay, _counted_until(stay, step)


def _printed(step: Step, shared_s: float, basis: Basis, started: datetime) -> Share:
    """Of a machine that is read when it is loaded and when it is emptied: it had stopped before it was emptied."""
    seconds = max(shared_s - (1 - LOADING) * step.touch_s, 0.0)
    if seconds > BOUND * step.machine_s:
        return Share(step.machine_s, "standard", "waited", started)
    return Share(seconds, basis, began=started)


def _counted_until(stay: Stay, step: Step) -> datetime:
    """A stay that was left closed counts for its standard: what others lay in the press beside it is theirs."""
    return stay.start + timedelta(seconds=step.occupied_s) if _left_closed(stay, step) else stay.end


def _left_closed(stay: Stay, step: Step) -> bool:
    return 0 < LEFT_CLOSED * step.occupied_s < stay.elapsed_s
