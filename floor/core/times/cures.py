"""How each piece was cured: how long it lay wet, which press held it and for how long, and what is odd about that.

Never decides whether a print will wash out: it tells what was scanned.
"""

from collections.abc import Iterator
from datetime import datetime
from typing import Literal, get_args

from msgspec import Struct

from floor.core.state.floor import Floor
from floor.core.state.outages import NEVER
from floor.core.state.piece import Piece, StepFact
from shared.events.reads import Contradicted, StepAssumed, StepDone, StepInterrupted, StepStarted
from shared.events.recorded import Recorded

Mark = Literal[
    "under dwell",
    "opened early",
    "press down",
    "over its time",
    "before its print",
    "assumed",
    "over wet limit",
    "wet time unknown",
    "contradicted",
    "in the press",
]
"""What is odd about a cure, the most suspicious first; "assumed": nobody saw it, or not all of it."""
MARKS: tuple[Mark, ...] = get_args(Mark)


class Cure(Struct, frozen=True, kw_only=True):
    """One stay of a piece in a press. Moments are UTC; None is not yet, or not known."""

    index: int
    """Of its step, in the route."""
    step: str
    press: str | None
    closed: datetime | None
    opened: datetime | None
    passed: datetime | None
    """When a later scan showed that it must have been done."""
    stopped: datetime | None
    """When the press went down before its time was over; what comes after that is another stay."""
    left: datetime | None
    """When the piece was spoiled or given up in there."""
    wet_since: datetime | None
    """When the step before was done."""
    follows: bool
    """Whether there is a step before, after which the piece lies wet."""
    least_s: float
    over_s: float | None
    """For how long it was held over that, where it was too long."""
    wet_limit_s: float | None
    closed_by: str | None
    opened_by: str | None
    opened_early: bool
    """Whether it was scanned out before its time; it was refused then, but the press may have been opened."""
    press_down: bool
    """Whether the press was down while it was in there, whenever that was said."""
    contradicted: bool
    rows: tuple[Recorded, ...]
    """The rows that tell of it."""

    @property
    def at(self) -> datetime | None:
        """When it was cured, as well as is known."""
        return self.closed or self.passed

    @property
    def over(self) -> datetime | None:
        """When the piece was no longer in there, however it ended."""
        return self.opened or self.stopped or self.left

    @property
    def held_s(self) -> float | None:
        """How long the press held it."""
        return _seconds(self.closed, self.opened or self.stopped)

    @property
    def wet_s(self) -> float | None:
        """How long it lay wet: from the end of the step before to the closing of the press."""
        return _seconds(self.wet_since, self.closed)

    @property
    def marks(self) -> tuple[Mark, ...]:
        """What is odd about it, the most suspicious first."""
        return tuple(self._marks())

    def _marks(self) -> Iterator[Mark]:
        if self.opened and self.held_s is not None and self.held_s < self.least_s:
            yield "under dwell"
        if self.opened_early:
            yield "opened early"
        if self.press_down:
            yield "press down"
        if self.over_s is not None:
            yield "over its time"
        if self.wet_since and self.closed and self.closed < self.wet_since:
            yield "before its print"
        if self.opened is None and self.passed is not None:
            yield "assumed"
        if self.wet_s is not None and self.wet_limit_s is not None and self.wet_s > self.wet_limit_s:
            yield "over wet limit"
        if self.wet_s is None and self.follows:
            yield "wet time unknown"
        if self.contradicted:
            yield "contradicted"
        if self.over is None and self.passed is None:
            yield "in the press"


def _seconds(start: datetime | None, end: datetime | None) -> float | None:
    return None if start is None or end is None else max((end - start).total_seconds(), 0.0)


class _Stay:
    """What tells of one stay: the row that closed the press, and the one that ended it."""

    def __init__(self, closing: Recorded | None = None, ending: Recorded | None = None) -> None:
        self.closing = closing
        self.ending = ending

    @property
    def rows(self) -> tuple[Recorded, ...]:
        return tuple(row for row in (self.closing, self.ending) if row)

    def at(self, kind: type[StepFact]) -> datetime | None:
        """When it was ended by a fact of a kind."""
        return self.ending.occurred_at if self.ending and type(self.ending.event) is kind else None


def cures_of(floor: Floor, piece: Piece) -> tuple[Cure, ...]:
    """Every stay of a piece in a press, in the order of its route; a press that went down makes one stay more."""
    dwells = (n for n, step in enumerate(piece.route) if step.is_press)
    return tuple(_cure(floor, piece, n, stay) for n in dwells for stay in _stays(piece, n))


def _stays(piece: Piece, n: int) -> list[_Stay]:
    stays: list[_Stay] = []
    for row in (row for row in piece.facts if row.event.step == n):  # type: ignore[attr-defined]  # all are step facts
        going_on = stays and stays[-1].ending is None
        if type(row.event) is StepStarted:
            if going_on:
                stays.pop()
            stays.append(_Stay(closing=row))
        elif going_on:
            stays[-1].ending = row
        elif type(row.event) is not StepInterrupted:
            stays.append(_Stay(ending=row))
    return stays


def _cure(floor: Floor, piece: Piece, n: int, stay: _Stay) -> Cure:
    step, closing, ending = piece.route[n], stay.closing, stay.ending
    closed, opened = closing.occurred_at if closing else None, stay.at(StepDone)
    left = None if ending or piece.finished else piece.ended or piece.cancelled
    over = opened or stay.at(StepInterrupted) or left
    held_s = _seconds(closed, opened)
    return Cure(
        index=n,
        step=step.label,
        press=next((row.station for row in stay.rows if row.station and type(row.event) is not StepAssumed), None),
        closed=closed,
        opened=opened,
        passed=stay.at(StepAssumed),
        stopped=stay.at(StepInterrupted),
        left=left,
        wet_since=piece.walk[n - 1].done if n else None,
        follows=n > 0,
        least_s=step.min_s,
        over_s=None if held_s is None else step.over_time_s(held_s),
        wet_limit_s=step.wait_limit_s,
        closed_by=closing.badge if closing else None,
        opened_by=ending.badge if ending and opened else None,
        opened_early=any(closed and closed <= early and (not over or early <= over) for early in piece.early),
        press_down=bool(stay.at(StepInterrupted)) or _was_down(floor, closing, over or NEVER),
        contradicted=any(_is_of(row, n) for row in piece.contradictions),
        rows=stay.rows,
    )


def _was_down(floor: Floor, closing: Recorded | None, until: datetime) -> bool:
    press = floor.stations.get(closing.station or "") if closing else None
    return press is not None and closing is not None and press.outages.down_between(closing.occurred_at, until)


def row_of_end(piece: Piece, n: int) -> Recorded | None:
    """The row that says that a step was done."""
    return next((row for row in piece.facts if type(row.event) is StepDone and row.event.step == n), None)


def _is_of(row: Recorded, n: int) -> bool:
    return isinstance(row.event, Contradicted) and row.event.step == n
