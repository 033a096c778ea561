"""The fold: what each event of the ledger does to the state of the floor.

Never decides and never knows the time: the same events give the same state, in whatever order late ones arrive.
"""

from bisect import insort
from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any, TypeVar

from floor.state import Alarm, Floor, Job, Piece, Spoiled
from shared.events import (
    AlarmCleared,
    AlarmRaised,
    CareDone,
    Contradicted,
    JobAdded,
    JobCancelled,
    JobHeld,
    JobReleased,
    PieceOpened,
    PieceSpoiled,
    ReadRefused,
    ReasonRead,
    ReasonTakenBack,
    Recorded,
    ScannerFound,
    ScannerLost,
    SignedIn,
    SignedOut,
    StationTaken,
    StepAssumed,
    StepDone,
    StepStarted,
    Undone,
    WorkDone,
    read_of,
)

T = TypeVar("T", datetime, tuple[datetime, str])


def fold(floor: Floor, row: Recorded) -> Floor:
    """The floor after one more row. The floor that is handed in is used up; a row already folded changes nothing.

    Total for every event of shared.events: never raises for rows that the rules let through.
    """
    if row.seq <= floor.seq:
        return floor
    floor.seq = row.seq
    if floor.began is None:
        floor.began = row.occurred_at
    _FOLDS[type(row.event)](floor, row, row.event)
    _remember_read(floor, row)
    return floor


def _remember_read(floor: Floor, row: Recorded) -> None:
    """A station remembers the last read that was recorded there."""
    read = read_of(row.event)
    if read is not None and row.station is not None:
        floor.station(row.station).last_read = (read, row.occurred_at)


def fold_all(rows: Iterable[Recorded], floor: Floor | None = None) -> Floor:
    """The floor after many rows, from the start or from a floor that is handed in and used up."""
    state = Floor() if floor is None else floor
    for row in rows:
        fold(state, row)
    return state


def _sort_in(floor: Floor, piece: Piece) -> None:
    """A piece moves between the open ones and the ended ones."""
    if piece.state == "open":
        floor.open[piece.code] = piece
        return
    floor.open.pop(piece.code, None)
    if piece.ended:
        _add_in_order(floor.ended, (piece.ended, piece.code))


def _add_in_order(items: list[T], item: T) -> None:
    """Nearly everything belongs at the end: looking for its place each time would cost more than the rest of a fold."""
    if items and item < items[-1]:
        insort(items, item)
    else:
        items.append(item)


def _job_added(floor: Floor, row: Recorded, event: JobAdded) -> None:
    floor.jobs[event.job] = Job(code=event.job, order=event, added=row.occurred_at)


def _job_held(floor: Floor, row: Recorded, event: JobHeld) -> None:
    floor.jobs[event.job].held_since = row.occurred_at


def _job_released(floor: Floor, _row: Recorded, event: JobReleased) -> None:
    floor.jobs[event.job].held_since = None


def _job_cancelled(floor: Floor, row: Recorded, event: JobCancelled) -> None:
    job = floor.jobs[event.job]
    job.cancelled = row.occurred_at
    for piece in job.pieces:
        if piece.state == "open":
            piece.cancelled = row.occurred_at
            _sort_in(floor, piece)


def _piece_opened(floor: Floor, row: Recorded, event: PieceOpened) -> None:
    piece = Piece(
        code=event.piece,
        job=event.job,
        line=event.line,
        number=event.number,
        size=event.size,
        route=event.route,
        opened=row.occurred_at,
        remake_of=event.remake_of,
    )
    floor.pieces[event.piece] = floor.open[event.piece] = piece
    floor.jobs[event.job].pieces.append(piece)
    floor.opened += 1


def _step_assumed(floor: Floor, row: Recorded, event: StepAssumed) -> None:
    floor.pieces[event.piece].take(row)


def _step_started(floor: Floor, row: Recorded, event: StepStarted) -> None:
    floor.pieces[event.piece].take(row)
    _did(floor, row, event)


def _step_done(floor: Floor, row: Recorded, event: StepDone) -> None:
    piece = floor.pieces[event.piece]
    piece.take(row)
    if piece.finished:
        _sort_in(floor, piece)
    _did(floor, row, event)


def _did(floor: Floor, row: Recorded, event: StepStarted | StepDone | PieceSpoiled) -> None:
    """The station remembers a read that did something to a piece."""
    if row.station is None:
        return
    station = floor.station(row.station)
    _add_in_order(station.touched.setdefault(row.badge or "", []), row.occurred_at)
    station.last_piece = (event.piece, row.occurred_at)
    station.undoable = (event.piece, row.occurred_at, row.seq)


def _piece_spoiled(floor: Floor, row: Recorded, event: PieceSpoiled) -> None:
    piece = floor.pieces[event.piece]
    piece.spoiled = Spoiled(row.occurred_at, event.reason, row.station, row.seq)
    piece.remake = event.remake
    _sort_in(floor, piece)
    _did(floor, row, event)
    if row.station is not None:
        floor.station(row.station).reason = None


def _contradicted(floor: Floor, row: Recorded, event: Contradicted) -> None:
    floor.pieces[event.piece].contradictions.append(row)
    floor.contradicted.append(row)


def _undone(floor: Floor, row: Recorded, event: Undone) -> None:
    piece = floor.pieces[event.piece]
    piece.drop(event.rows)
    if event.remake is not None:
        piece.spoiled = piece.remake = None
        remake = floor.pieces[event.remake]
        remake.cancelled = row.occurred_at
        _sort_in(floor, remake)
    if piece.state == "open":
        piece.cancelled = floor.jobs[piece.job].cancelled
    _sort_in(floor, piece)
    if row.station is not None:
        station = floor.station(row.station)
        station.undoable = station.last_piece = None


def _read_refused(floor: Floor, row: Recorded, event: ReadRefused) -> None:
    if event.piece is not None and event.read.answer.reason == "too-short":
        piece = floor.pieces[event.piece]
        piece.opened_early = max(piece.opened_early or row.occurred_at, row.occurred_at)
    if event.at_station is None:
        return
    station = floor.station(event.at_station)
    if event.piece is not None:
        station.last_piece = (event.piece, row.occurred_at)


def _station_taken(floor: Floor, _row: Recorded, event: StationTaken) -> None:
    floor.roaming[event.scanner] = event.at_station


def _signed_in(floor: Floor, row: Recorded, event: SignedIn) -> None:
    insort(floor.station(event.at_station).signings, (row.occurred_at, row.seq, event.badge_name))


def _signed_out(floor: Floor, row: Recorded, event: SignedOut) -> None:
    insort(floor.station(event.at_station).signings, (row.occurred_at, row.seq, None))


def _reason_read(floor: Floor, row: Recorded, event: ReasonRead) -> None:
    floor.station(event.at_station).reason = (event.reason, row.occurred_at)


def _reason_taken_back(floor: Floor, _row: Recorded, event: ReasonTakenBack) -> None:
    floor.station(event.at_station).reason = None


def _care_done(floor: Floor, row: Recorded, event: CareDone) -> None:
    before = floor.cared.get(event.task)
    floor.cared[event.task] = max(before, row.occurred_at) if before else row.occurred_at


def _scanner_lost(floor: Floor, row: Recorded, event: ScannerLost) -> None:
    floor.lost.setdefault(event.scanner, (row.occurred_at, event.why))


def _scanner_found(floor: Floor, _row: Recorded, event: ScannerFound) -> None:
    floor.lost.pop(event.scanner, None)


def _alarm_raised(floor: Floor, _row: Recorded, event: AlarmRaised) -> None:
    floor.alarms[event.alarm, event.subject] = Alarm(
        kind=event.alarm, subject=event.subject, since=event.since, say=event.say, station=event.at_station
    )


def _alarm_cleared(floor: Floor, _row: Recorded, event: AlarmCleared) -> None:
    floor.alarms.pop((event.alarm, event.subject), None)


def _work_done(floor: Floor, _row: Recorded, event: WorkDone) -> None:
    floor.worked[event.task] = max(floor.worked.get(event.task, ""), event.period)


_FOLDS: dict[type, Callable[[Floor, Recorded, Any], None]] = {
    JobAdded: _job_added,
    JobHeld: _job_held,
    JobReleased: _job_released,
    JobCancelled: _job_cancelled,
    PieceOpened: _piece_opened,
    StepStarted: _step_started,
    StepDone: _step_done,
    StepAssumed: _step_assumed,
    PieceSpoiled: _piece_spoiled,
    Contradicted: _contradicted,
    Undone: _undone,
    ReadRefused: _read_refused,
    StationTaken: _station_taken,
    SignedIn: _signed_in,
    SignedOut: _signed_out,
    ReasonRead: _reason_read,
    ReasonTakenBack: _reason_taken_back,
    CareDone: _care_done,
    ScannerLost: _scanner_lost,
    ScannerFound: _scanner_found,
    AlarmRaised: _alarm_raised,
    AlarmCleared: _alarm_cleared,
    WorkDone: _work_done,
}
"""Every kind of event has its fold; a test holds this against shared.events."""
