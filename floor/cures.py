"""How each piece was cured: how long it lay wet, which press held it and for how long, and what is odd about that.

Never decides whether a print will wash out: it tells what was scanned.
"""

from collections.abc import Iterator
from datetime import datetime
from typing import Literal, get_args

from msgspec import Struct

from floor.outages import NEVER
from floor.state import Floor, Piece, Station, StepFact
from shared.events import Contradicted, Recorded, StepDone, StepStarted

Mark = Literal[
    "under dwell",
    "opened early",
    "press down",
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

    step: str
    press: str | None
    closed: datetime | None
    opened: datetime | None
    passed: datetime | None
    """When a later scan showed that it must have been done."""
    wet_since: datetime | None
    """When the step before was done."""
    follows: bool
    """Whether there is a step before, after which the piece lies wet."""
    least_s: float
    wet_limit_s: float | None
    closed_by: str | None
    opened_by: str | None
    opened_early: bool
    """Whether it was scanned out before its time; it was refused then, but the press may have been opened."""
    press_down: bool
    """Whether a press was down while it was in there; then it was pressed anew, or nobody had said so yet."""
    contradicted: bool

    @property
    def at(self) -> datetime | None:
        """When it was cured, as well as is known."""
        return self.closed or self.passed

    @property
    def held_s(self) -> float | None:
        """How long the press held it."""
        return _seconds(self.closed, self.opened)

    @property
    def wet_s(self) -> float | None:
        """How long it lay wet: from the end of the step before to the closing of the press."""
        return _seconds(self.wet_since, self.closed)

    @property
    def marks(self) -> tuple[Mark, ...]:
        """What is odd about it, the most suspicious first."""
        return tuple(self._marks())

    def _marks(self) -> Iterator[Mark]:
        if self.held_s is not None and self.held_s < self.least_s:
            yield "under dwell"
        if self.opened_early:
            yield "opened early"
        if self.press_down:
            yield "press down"
        if self.opened is None and self.passed is not None:
            yield "assumed"
        if self.wet_s is not None and self.wet_limit_s is not None and self.wet_s > self.wet_limit_s:
            yield "over wet limit"
        if self.wet_s is None and self.follows:
            yield "wet time unknown"
        if self.contradicted:
            yield "contradicted"
        if self.opened is None and self.passed is None:
            yield "in the press"


def _seconds(start: datetime | None, end: datetime | None) -> float | None:
    return None if start is None or end is None else max((end - start).total_seconds(), 0.0)


def cures_of(floor: Floor, piece: Piece) -> tuple[Cure, ...]:
    """Every stay of a piece in a press that was begun, in the order of its route."""
    return tuple(_cure(floor, piece, n) for n in stays(piece))


def stays(piece: Piece) -> Iterator[int]:
    """The indices of the steps in a press that were begun."""
    for n, (step, walked) in enumerate(zip(piece.route, piece.walk, strict=True)):
        if step.kind == "dwell" and (walked.started or walked.over):
            yield n


def _cure(floor: Floor, piece: Piece, n: int) -> Cure:
    step, walked = piece.route[n], piece.walk[n]
    closing, opening = row_of(piece, n, StepStarted), row_of(piece, n, StepDone)
    return Cure(
        step=step.label,
        press=walked.station,
        closed=walked.started,
        opened=walked.done,
        passed=walked.passed,
        wet_since=piece.walk[n - 1].done if n else None,
        follows=n > 0,
        least_s=step.min_s,
        wet_limit_s=step.wait_limit_s,
        closed_by=closing.badge if closing else None,
        opened_by=opening.badge if opening else None,
        opened_early=_opened_early(piece, n),
        press_down=_press_was_down(floor, piece, n),
        contradicted=any(_is_of(row, n) for row in piece.contradictions),
    )


def row_of(piece: Piece, n: int, kind: type[StepFact]) -> Recorded | None:
    """The row that says that a step was started, done or assumed: the last of its kind, where there are more."""
    return next((row for row in reversed(piece.facts) if type(row.event) is kind and row.event.step == n), None)


def _opened_early(piece: Piece, n: int) -> bool:
    closed, opened = piece.walk[n].started, piece.walk[n].done
    return any(closed and closed <= early and (not opened or early <= opened) for early in piece.early)


def _press_was_down(floor: Floor, piece: Piece, n: int) -> bool:
    closings = [row for row in piece.facts if type(row.event) is StepStarted and row.event.step == n]
    until = piece.walk[n].done or piece.walk[n].passed or NEVER
    ends = [*(row.occurred_at for row in closings), until][1:]
    presses = [floor.stations.get(row.station or "") or Station() for row in closings]
    return any(
        press.outages.down_between(row.occurred_at, end)
        for press, row, end in zip(presses, closings, ends, strict=True)
    )


def _is_of(row: Recorded, n: int) -> bool:
    return isinstance(row.event, Contradicted) and row.event.step == n
