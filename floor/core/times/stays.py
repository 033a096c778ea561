"""The stays of a piece in a machine that is scanned in and out: each from its read in to what ended it.

Never says how long a stay counts: floor.core.times.machines does.
"""

from collections.abc import Iterator
from datetime import datetime
from typing import Literal

from msgspec import Struct

from floor.core.state.piece import Piece
from shared.events.reads import StepDone, StepInterrupted, StepStarted
from shared.events.recorded import Recorded

Ended = Literal["done", "broken off", "left"]
"""done: it was read out; broken off: the press went down; left: the piece was given up in there."""


class Stay(Struct, frozen=True):
    """Moments are UTC."""

    piece: str
    n: int
    """The step's index in the route."""
    station: str
    start: datetime
    end: datetime
    ended: Ended

    @property
    def elapsed_s(self) -> float:
        """How long it lasted, whatever the shop's hours."""
        return (self.end - self.start).total_seconds()


def stays_of(piece: Piece, n: int) -> Iterator[Stay]:
    """Those that are over, in their order."""
    closing: Recorded | None = None
    for row in (row for row in piece.facts if row.event.step == n):  # type: ignore[attr-defined]  # all are step facts
        ended = _ended(row)
        if closing is not None and ended is not None:
            yield _stay(piece, n, closing, row.occurred_at, ended)
        closing = row if isinstance(row.event, StepStarted) else None
    left = piece.given_up
    if closing is not None and left is not None and left > closing.occurred_at:
        yield _stay(piece, n, closing, left, "left")


def broken_off(piece: Piece, n: int) -> list[Stay]:
    """Those in a press that went down before its time was over."""
    return [stay for stay in stays_of(piece, n) if stay.ended == "broken off"]


def _ended(row: Recorded) -> Ended | None:
    if isinstance(row.event, StepDone):
        return "done"
    return "broken off" if isinstance(row.event, StepInterrupted) else None


def _stay(piece: Piece, n: int, closing: Recorded, end: datetime, ended: Ended) -> Stay:
    return Stay(piece.code, n, closing.station or "", closing.occurred_at, end, ended)
