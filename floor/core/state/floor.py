"""The state of the floor: jobs, pieces and their walks, stations, alarms.

Never decides and never knows the time. It is changed by floor.core.folds.fold alone.
"""

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from itertools import chain

from floor.core.state.closed_weeks import ClosedWeeks
from floor.core.state.job import Job
from floor.core.state.piece import Piece
from floor.core.state.price_book import PriceBook
from floor.core.state.station import Station
from floor.core.state.supplies import Supplies
from shared.events.floor import AlarmKind
from shared.events.jobs import Line
from shared.events.recorded import Recorded


@dataclass(slots=True)
class Alarm:
    """Something that needs a person, raised and not yet cleared."""

    kind: AlarmKind
    subject: str
    since: datetime
    say: str
    station: str | None = None


@dataclass(slots=True)
class Floor:
    """The whole floor, up to and with row `seq`."""

    seq: int = 0
    began: datetime | None = None
    """When the first row occurred."""
    jobs: dict[str, Job] = field(default_factory=dict)
    pieces: dict[str, Piece] = field(default_factory=dict)
    open: dict[str, Piece] = field(default_factory=dict)
    """The pieces that are neither finished nor spoiled nor cancelled, so that no one need look at all the others."""
    lying: dict[str, Piece] = field(default_factory=dict)
    """The pieces that were spoiled or given up in a closed press, and lie in it still."""
    ended: list[tuple[datetime, str]] = field(default_factory=list)
    """When pieces were finished or spoiled, in order; what was taken back since is still in it: see `ended_between`."""
    opened: int = 0
    """Pieces opened ever: the next one's serial number is one more."""
    stations: dict[str, Station] = field(default_factory=dict)
    roaming: dict[str, str] = field(default_factory=dict)
    """By scanner: the station whose card it read last."""
    alarms: dict[tuple[AlarmKind, str], Alarm] = field(default_factory=dict)
    cared: dict[str, datetime] = field(default_factory=dict)
    """By care task: when it was done last."""
    lost: dict[str, tuple[datetime, str]] = field(default_factory=dict)
    """By scanner that is absent: since when, and why."""
    worked: dict[str, str] = field(default_factory=dict)
    """By task of the floor itself: the latest day or week for which it was done."""
    closed_weeks: ClosedWeeks = field(default_factory=ClosedWeeks)
    reads: dict[str, list[Recorded]] = field(default_factory=dict)
    """By badge ("" is nobody's): its reads at every station, whatever became of them, ordered as `Station.steps`."""
    supplies: Supplies = field(default_factory=Supplies)
    prices: PriceBook = field(default_factory=PriceBook)
    contradicted: list[Recorded] = field(default_factory=list)
    """Reads that contradict what is recorded of their piece, as they arrived."""

    def station(self, name: str) -> Station:
        """What a station remembers; a station that nothing has happened at remembers nothing."""
        found = self.stations.get(name)
        if found is None:
            found = self.stations[name] = Station()
        return found

    def present(self) -> Iterator[Piece]:
        """The pieces that may be in a press: open ones, and those that were given up and lie in one still."""
        return chain(self.open.values(), self.lying.values())

    def down_since(self, station: str) -> datetime | None:
        """Since when a station takes no work; None while it does."""
        known = self.stations.get(station)
        return known.down_since if known else None

    def line_of(self, piece: Piece) -> Line:
        """The line of its job that a piece belongs to."""
        return self.jobs[piece.job].line(piece.line)

    def ended_between(self, start: datetime, end: datetime) -> list[Piece]:
        """The pieces that were finished or spoiled from a moment on and before another, in that order."""
        first, last = (bisect_left(self.ended, (moment, "")) for moment in (start, end))
        codes = dict.fromkeys(code for moment, code in self.ended[first:last] if self.pieces[code].ended == moment)
        return [self.pieces[code] for code in codes]
