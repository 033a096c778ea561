"""What each step took of hands: the reads of one badge at every station, shift by shift.

Never scales what was measured: only standards that stand in give way where the shift has not that much left.
"""

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from heapq import merge

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from floor.core.times.dividing import FAR, SHORT, Load, Opened, StandIn, measured, passed_s, reserve, served, stood_in
from floor.core.times.line import Stretch, stretches
from floor.core.times.machines import Machines
from floor.core.times.share import LOADING, Key, Report, Share, typed
from floor.core.times.shift import Shift, Shifts
from floor.core.times.spans import elapsed
from shared.events.reads import SignedOut
from shared.events.recorded import AT, BY_MOMENT, Recorded
from shared.files.shop import Shop

RUNNING = 0.8
"""A machine was loaded before this share of its standard time, counted back from its read."""


@dataclass(slots=True, kw_only=True)
class ShiftOfHands:
    """A pair of hands in a shift: what it gave to each step, and for how long it was there."""

    began: datetime
    present_s: float
    """Working seconds from the first read, less its standard, to the last, or to a sign-out."""
    signed_out: bool
    """Whether a sign-out ended it; else it ends with the last read."""
    absorbed_s: float
    """Seconds that went into steps, those that were not out by its end too; never more than it was there."""
    loading_s: float
    """Seconds in which it loaded machines, by their standards."""
    shares: dict[Key, Share] = field(default_factory=dict)
    open_s: dict[Key, float] = field(default_factory=dict)
    """What it gave to steps that were scanned in and were not out by its end."""


class Hands:
    """The hands' share of every step of a floor; good for as long as the floor does not move."""

    def __init__(self, floor: Floor, shop: Shop, shifts: Shifts, machines: Machines) -> None:
        self._floor = floor
        self._shifts = shifts
        self._machines = machines
        self._only = next(iter(shop.badges)) if len(shop.badges) == 1 else None
        self._of_only: Sequence[Recorded] | None = None
        self._worked: dict[tuple[str, date], ShiftOfHands | None] = {}

    def whose(self, badge: str | None) -> str | None:
        """Whose hands a read shows; in a shop with one badge they are that one's. None where nobody knows."""
        return badge or self._only

    def of(self, piece: Piece, n: int) -> Share:
        """The hands' share of a step that is done, or taken as done."""
        walked, touch_s = piece.walk[n], piece.route[n].touch_s
        if walked.done is None:
            return Share(touch_s, "standard", "not seen")
        who = self.whose(walked.badge)
        if who is None:
            return Share(touch_s, "standard", "hands unknown")
        shift = self.shift(who, self._shifts.at(walked.done).day)
        share = shift.shares.get((piece.code, n)) if shift else None
        return share or Share(touch_s, "standard", "not seen")

    def between(self, start: datetime, end: datetime) -> Iterator[tuple[str, ShiftOfHands]]:
        """Each badge with its shifts that began from one moment on and before another."""
        for badge in sorted(set(filter(None, map(self.whose, self._floor.reads)))):
            rows = self._rows(badge)
            inside = rows[bisect_left(rows, start, key=AT) : bisect_left(rows, end, key=AT)]
            for day in dict.fromkeys(self._shifts.at(row.occurred_at).day for row in inside):
                shift = self.shift(badge, day)
                if shift is not None and start <= shift.began:
                    yield badge, shift

    def shift(self, badge: str, day: date) -> ShiftOfHands | None:
        """What a badge did in the shift that began on a day; None where it read nothing in it."""
        if (badge, day) not in self._worked:
            shift = self._shifts.on(day)
            rows = self._read_in(badge, shift)
            self._worked[badge, day] = self._divided(badge, shift, rows) if rows else None
        return self._worked[badge, day]

    def _rows(self, badge: str) -> Sequence[Recorded]:
        rows = self._floor.reads.get(badge, [])
        if badge != self._only:
            return rows
        if self._of_only is None:
            self._of_only = list(merge(rows, self._floor.reads.get("", []), key=BY_MOMENT))
        return self._of_only

    def _read_in(self, badge: str, shift: Shift) -> Sequence[Recorded]:
        rows = self._rows(badge)
        return rows[bisect_left(rows, shift.start, key=AT) : bisect_left(rows, shift.end, key=AT)]

    def _divided(self, badge: str, shift: Shift, rows: Sequence[Recorded]) -> ShiftOfHands:
        line = list(stretches(self._floor, shift, rows))
        loads = list(self._loads(line))
        reserve(line, loads)
        brought_s = self._brought(badge, line)
        opened = Opened(dict(brought_s))
        opened.follow(line)
        seen, across = self._seen(line, opened.seen_s)
        known, unknown = measured(line, opened.seen_s)
        known |= seen
        present_s = sum(map(passed_s, line))
        earlier_s = sum(brought_s.get(key, 0.0) for key in seen)
        given_s = _seconds(known) - earlier_s + sum(opened.given_s.values())
        standards = stood_in([*unknown, *across, *served(line)], present_s - given_s)
        return ShiftOfHands(
            began=rows[0].occurred_at,
            present_s=present_s,
            signed_out=isinstance(rows[-1].event, SignedOut),
            absorbed_s=given_s + _seconds(standards),
            loading_s=sum(load.seconds for load in loads),
            shares=known | standards,
            open_s=opened.given_s,
        )

    def _loads(self, line: Sequence[Stretch]) -> Iterator[Load]:
        for report in (report for stretch in line for report in stretch.served):
            step = report.step
            if step.scans == "out":
                took = timedelta(seconds=step.machine_s + step.touch_s)
                earliest = self._machines.free_since(report) or report.at - took
                running = timedelta(seconds=RUNNING * step.machine_s)
                yield Load(earliest, report.at - running, LOADING * step.touch_s)

    def _brought(self, badge: str, line: Sequence[Stretch]) -> dict[Key, float]:
        """The steps that were scanned in during an earlier shift, and out in this one; with what that gave them."""
        brought: dict[Key, float] = {}
        for report in (report for stretch in line for report in stretch.by_hand):
            since = report.piece.walk[report.n].started
            if since is not None and (day := self._shifts.at(since).day) < self._shifts.at(report.at).day:
                earlier = self.shift(badge, day)
                brought[report.key] = earlier.open_s.get(report.key, 0.0) if earlier else 0.0
        return brought

    def _seen(self, line: Sequence[Stretch], seen_s: dict[Key, float]) -> tuple[dict[Key, Share], list[StandIn]]:
        """Steps that were scanned in and out: they count however long, unless they lay over closed hours meanwhile."""
        shares: dict[Key, Share] = {}
        across: list[StandIn] = []
        for report in (report for stretch in line for report in stretch.by_hand if report.key in seen_s):
            since, seconds = report.piece.walk[report.n].started, seen_s[report.key]
            if typed(report.row):
                across.append(StandIn(report, "moment typed", since))
            elif not _can_be(seconds, report) and self._over_closed_hours(since, report):
                across.append(StandIn(report, "across closed hours", since))
            else:
                shares[report.key] = Share(seconds, "seen", began=since, most_s=seconds)
        return shares, across

    def _over_closed_hours(self, since: datetime | None, report: Report) -> bool:
        return since is not None and elapsed(since, report.at) > self._shifts.worked(since, report.at)


def _can_be(seconds: float, report: Report) -> bool:
    return SHORT * report.step.touch_s <= seconds <= FAR * report.step.touch_s


def _seconds(shares: Mapping[Key, Share]) -> float:
    return sum(share.seconds for share in shares.values())
