"""The step with which each piece was begun.

Never knows what a step is: a piece is begun by any, and not begun when all were taken back.
"""

import sqlite3
from typing import NamedTuple

from shared.events.reads import StepAssumed, StepDone, StepStarted, Undone
from shared.events.recorded import Recorded

STEPS = (StepStarted, StepDone, StepAssumed)


class Change(NamedTuple):
    """The row of the first step of a piece that stands, before a row and after it; None while there is none."""

    before: int | None
    after: int | None


NO_CHANGE = Change(None, None)


class Beginnings:
    """The steps of all pieces that stand so far."""

    def __init__(self, database: sqlite3.Connection) -> None:
        database.execute("CREATE TABLE step (piece TEXT, seq INTEGER, PRIMARY KEY (piece, seq)) WITHOUT ROWID")
        self._database = database

    def follow(self, row: Recorded) -> Change:
        """Take in the next row of the ledger."""
        event = row.event
        if not isinstance(event, (*STEPS, Undone)):
            return NO_CHANGE
        before = self._first(event.piece)
        if isinstance(event, Undone):
            undone = ((event.piece, seq) for seq in event.rows)
            self._database.executemany("DELETE FROM step WHERE piece = ? AND seq = ?", undone)
            return Change(before, self._first(event.piece))
        self._database.execute("INSERT INTO step VALUES (?, ?)", (event.piece, row.seq))
        return Change(before, row.seq if before is None else before)

    def _first(self, piece: str) -> int | None:
        found = self._database.execute("SELECT min(seq) FROM step WHERE piece = ?", (piece,)).fetchone()
        first: int | None = found[0]
        return first
