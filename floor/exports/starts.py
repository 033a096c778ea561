"""When the steps began whose start nobody scanned, by the rule that the cycle times of the week follow.

Never takes back a touch: whoever read a piece stood there then, whatever became of the read.
"""

import sqlite3
from datetime import datetime, timedelta

from floor.core.times.cycle import derived_start
from floor.exports.pieces import Stop
from floor.ledger.row import microseconds, moment
from shared.events.reads import PieceSpoiled, StepDone, StepStarted
from shared.events.recorded import Recorded

TOUCHES = (PieceSpoiled, StepStarted, StepDone)
LAST = "SELECT max(at) FROM touch WHERE station = ? AND badge = ? AND at < ?"


class Starts:
    """What each pair of hands did at each station so far."""

    def __init__(self, database: sqlite3.Connection) -> None:
        columns = "station TEXT, badge TEXT, at INTEGER"
        database.execute(f"CREATE TABLE touch ({columns}, PRIMARY KEY (station, badge, at)) WITHOUT ROWID")
        self._database = database

    def note(self, row: Recorded) -> None:
        """Take in the next row of the ledger."""
        if isinstance(row.event, TOUCHES) and row.station is not None:
            touch = (row.station, row.badge or "", microseconds(row.occurred_at))
            self._database.execute("INSERT OR IGNORE INTO touch VALUES (?, ?, ?)", touch)

    def of(self, stop: Stop, done_us: int, ready: datetime | None, hands: tuple[str | None, str | None]) -> datetime:
        """When a step began that is ready since a moment and was done at a station by a badge, once all was noted."""
        station, badge = hands
        [touched] = self._database.execute(LAST, (station or "", badge or "", done_us)).fetchone()
        standard = timedelta(seconds=stop.standard_s)
        return derived_start(moment(done_us), standard, None if touched is None else moment(touched), ready)[0]
