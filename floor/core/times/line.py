"""The line of one pair of hands: its reads in a shift, at every station, and the time between each two of them.

Never gives time to a step: floor.core.times.hands does.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from floor.core.state.floor import Floor
from floor.core.times.share import Report, report_of, typed
from floor.core.times.shift import Shift
from shared.events.reads import SignedOut
from shared.events.recorded import Recorded

BATCH_GAP_MAX = timedelta(seconds=10)
BATCH_GAP_SHARE = 0.2
"""Pieces read so shortly after each other, by this share of their touch and by the time above, lay side by side."""


@dataclass(slots=True)
class Stretch:
    """The time between two reads, the later of which may be several that lay side by side, and what these report."""

    since: datetime | None
    """The read before; None for the first of a shift, and for the first after a sign-out."""
    rows: Sequence[Recorded]
    reports: Sequence[Report]
    by_hand: Sequence[Report]
    """The steps that hands alone did, and that ended by its later read."""
    served: Sequence[Report]
    """The steps of a machine that it loaded, or took from it."""
    workable: datetime | None
    """Since when its hand steps can have been worked on: the read before, or when the first of them was ready."""
    length_s: float
    """Working seconds since the read before."""
    own_s: float
    """Working seconds since `workable`."""
    reserved_s: float = 0.0
    """Seconds in which hands loaded machines."""

    @property
    def until(self) -> datetime:
        """The later read."""
        return self.rows[-1].occurred_at

    @property
    def standard_s(self) -> float:
        """What the steps that ended by it take of hands, by their standards."""
        return sum(report.step.touch_s for report in self.reports if report.ends)

    @property
    def typed(self) -> bool:
        """Whether a person wrote one of its moments down."""
        return any(map(typed, self.rows))


def stretches(floor: Floor, shift: Shift, rows: Iterable[Recorded]) -> Iterator[Stretch]:
    """The reads of one pair of hands in a shift, as the time between each two of them."""
    before: datetime | None = None
    for batch in _batches([(row, report_of(floor, row)) for row in rows]):
        yield _stretch(shift, before, batch)
        last, _ = batch[-1]
        before = None if isinstance(last.event, SignedOut) else last.occurred_at


_Read = tuple[Recorded, Report | None]


def _stretch(shift: Shift, since: datetime | None, batch: Sequence[_Read]) -> Stretch:
    rows = [row for row, _ in batch]
    reports = [report for _, report in batch if report is not None]
    until = rows[-1].occurred_at
    ready = [report.ready for report in reports if report.ready is not None]
    workable = max((moment for moment in (since, min(ready, default=None)) if moment), default=None)
    return Stretch(
        since=since,
        rows=rows,
        reports=reports,
        by_hand=[report for report in reports if report.by_hand],
        served=[report for report in reports if report.step.has_machine],
        workable=workable,
        length_s=shift.worked(since, until).total_seconds() if since else 0.0,
        own_s=shift.worked(workable, until).total_seconds() if since and workable else 0.0,
    )


def _batches(reads: Iterable[_Read]) -> Iterator[Sequence[_Read]]:
    batch: list[_Read] = []
    for read in reads:
        if batch and not _side_by_side(batch[-1], read):
            yield batch
            batch = []
        batch.append(read)
    if batch:
        yield batch


def _side_by_side(one: _Read, other: _Read) -> bool:
    """Whether two reads, one after the other, are of pieces that lay side by side in one step by hand."""
    (_, first), (_, second) = one, other
    if first is None or second is None or first.row.station != second.row.station:
        return False
    if first.step.key != second.step.key or not (_scanned_out_by_hand(first) and _scanned_out_by_hand(second)):
        return False
    gap = second.at - first.at
    return gap <= min(BATCH_GAP_MAX, timedelta(seconds=BATCH_GAP_SHARE * second.step.touch_s))


def _scanned_out_by_hand(report: Report) -> bool:
    return report.by_hand and report.step.scans == "out"
