"""What happens to pieces on their walk: steps, spoiling, contradictions, and what is taken back.

Never decides whether it may: that is floor.core.rules.
"""

from floor.core.folds.kinds import FOLDS
from floor.core.folds.lying import forget_openings, note_lying, note_opened
from floor.core.folds.sorting import add_row, sort_in
from floor.core.state.floor import Floor
from floor.core.state.piece import Spoiled
from floor.core.state.station import Undoable
from shared.events.reads import (
    Contradicted,
    PieceSpoiled,
    StepAssumed,
    StepDone,
    StepInterrupted,
    StepStarted,
    TakenOut,
    Undone,
)
from shared.events.recorded import Recorded
from shared.route import Step


@FOLDS.of(StepAssumed, StepInterrupted)
def taken(floor: Floor, row: Recorded, event: StepAssumed | StepInterrupted) -> None:
    piece = floor.pieces[event.piece]
    piece.take(row)
    note_lying(floor, piece)


@FOLDS.of(StepStarted)
def step_started(floor: Floor, row: Recorded, event: StepStarted) -> None:
    piece = floor.pieces[event.piece]
    piece.take(row)
    note_lying(floor, piece)
    _opened(floor, row, piece.route[event.step])
    _did(floor, row, event)


@FOLDS.of(StepDone)
def step_done(floor: Floor, row: Recorded, event: StepDone) -> None:
    piece = floor.pieces[event.piece]
    piece.take(row)
    if piece.finished:
        sort_in(floor, piece)
    note_lying(floor, piece)
    _opened(floor, row, piece.route[event.step])
    _did(floor, row, event)


def _opened(floor: Floor, row: Recorded, step: Step) -> None:
    if row.station is not None and step.is_press:
        note_opened(floor, row.station, row)


@FOLDS.of(TakenOut)
def taken_out(floor: Floor, row: Recorded, event: TakenOut) -> None:
    piece = floor.pieces[event.piece]
    piece.taken_out = row.seq
    note_lying(floor, piece)
    _did(floor, row, event)


def _did(floor: Floor, row: Recorded, event: StepStarted | StepDone | PieceSpoiled | TakenOut) -> None:
    """The station remembers a read that did something to a piece."""
    if row.station is None:
        return
    station = floor.station(row.station)
    station.last_piece = (event.piece, row.occurred_at)
    station.undoable.append(Undoable(event.piece, row.occurred_at, row.recorded_at, row.seq))
    if isinstance(event, StepStarted | StepDone):
        add_row(station.steps, row)


@FOLDS.of(PieceSpoiled)
def piece_spoiled(floor: Floor, row: Recorded, event: PieceSpoiled) -> None:
    piece = floor.pieces[event.piece]
    piece.spoiled = Spoiled(row.occurred_at, event.reason, row.station, row.seq)
    piece.remake = event.remake
    sort_in(floor, piece)
    _did(floor, row, event)
    if row.station is not None:
        floor.station(row.station).reason = None


@FOLDS.of(Contradicted)
def contradicted(floor: Floor, row: Recorded, event: Contradicted) -> None:
    floor.pieces[event.piece].contradictions.append(row)
    floor.contradicted.append(row)


@FOLDS.of(Undone)
def undone(floor: Floor, row: Recorded, event: Undone) -> None:
    piece = floor.pieces[event.piece]
    for fact in piece.facts:
        if fact.seq in event.rows:
            floor.closed_weeks.touch(fact.occurred_at)
    piece.drop(event.rows)
    if row.station is not None:
        forget_openings(floor, row.station, event.rows)
    if piece.taken_out in event.rows:
        piece.taken_out = None
    if piece.spoiled and event.remake is not None:
        floor.closed_weeks.touch(piece.spoiled.at)
    if event.remake is not None:
        piece.spoiled = piece.remake = None
        remake = floor.pieces[event.remake]
        remake.cancelled = row.occurred_at
        sort_in(floor, remake)
    if piece.state == "open":
        piece.cancelled = floor.jobs[piece.job].cancelled
    sort_in(floor, piece)
    if row.station is not None:
        station = floor.station(row.station)
        station.last_piece = None
        for read in [read for read in station.undoable if read.seq in event.rows]:
            station.undoable.remove(read)
