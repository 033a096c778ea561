"""What must hold of the floor's facts, whatever happened to it: asked of every row, and of every piece's walk.

Never repairs and never raises: what does not hold is told, with the row that says so.
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from floor.core.folds.fold import fold
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece, Walked
from shared.events.base import Event, JobEvent, PieceEvent
from shared.events.jobs import JobAdded, PieceOpened
from shared.events.reads import Contradicted, ReadRefused, StepAssumed, StepDone, StepInterrupted, StepStarted, Undone
from shared.events.recorded import Recorded
from shared.route import Step


class Wrong(NamedTuple):
    """A row that cannot be true beside the others, and why."""

    seq: int
    why: str

    def line(self) -> str:
        """Both in one line."""
        return f"row {self.seq}: {self.why}"


def wrongs(rows: Iterable[Recorded]) -> list[Wrong]:
    """All that does not hold of the rows of a ledger, from the first, by row. A row that cannot be is not folded."""
    floor = Floor()
    found: list[Wrong] = []
    reads: set[str] = set()
    for row in rows:
        why = _why_not(floor, row) or _why_not_this_read(row, reads)
        if why:
            found.append(Wrong(row.seq, why))
            floor.seq = row.seq
        else:
            fold(floor, row)
    return sorted([*found, *wrongs_of(floor)])


def wrongs_of(floor: Floor) -> list[Wrong]:
    """All that does not hold of the walks of a floor's pieces."""
    return [wrong for piece in floor.pieces.values() for wrong in _wrongs_of_piece(floor, piece)]


# Rows


def _why_not(floor: Floor, row: Recorded) -> str | None:
    event = row.event
    if row.seq != floor.seq + 1:
        return f"it follows row {floor.seq}"
    if isinstance(event, JobAdded):
        return f"job {event.job} was added before" if event.job in floor.jobs else None
    if isinstance(event, PieceOpened):
        return _why_not_opened(floor, event)
    return _unknown(floor, event) or _out_of_place(floor, row, event)


def _why_not_this_read(row: Recorded, reads: set[str]) -> str | None:
    if row.read_id in reads:
        return f"read {row.read_id} was recorded before"
    if row.read_id is not None:
        reads.add(row.read_id)
    return None


def _why_not_opened(floor: Floor, event: PieceOpened) -> str | None:
    if event.piece in floor.pieces:
        return f"piece {event.piece} was opened before"
    if event.job not in floor.jobs:
        return f"piece {event.piece} is of job {event.job}, which nobody added"
    if not 1 <= event.line <= len(floor.jobs[event.job].lines):
        return f"piece {event.piece} is of line {event.line}, which job {event.job} does not have"
    if event.remake_of is not None and event.remake_of not in floor.pieces:
        return f"piece {event.piece} is a remake of {event.remake_of}, which nobody opened"
    return None


def _unknown(floor: Floor, event: Event) -> str | None:
    if isinstance(event, JobEvent) and event.job not in floor.jobs:
        return f"it is about job {event.job}, which nobody added"
    piece = event.piece if isinstance(event, PieceEvent | ReadRefused) else None
    if piece is not None and piece not in floor.pieces:
        return f"it is about piece {piece}, which nobody opened"
    return None


def _out_of_place(floor: Floor, row: Recorded, event: Event) -> str | None:
    if isinstance(event, StepStarted | StepInterrupted | StepDone | StepAssumed | Contradicted):
        steps = len(floor.pieces[event.piece].route)
        return None if 0 <= event.step < steps else f"piece {event.piece} has no step {event.step}"
    if isinstance(event, Undone):
        if event.remake is not None and event.remake not in floor.pieces:
            return f"it gives up remake {event.remake}, which nobody opened"
        return None if all(seq < row.seq for seq in event.rows) else "it takes back what is not recorded yet"
    return None


# Walks


def _wrongs_of_piece(floor: Floor, piece: Piece) -> Iterator[Wrong]:
    if (piece.state == "open") != (piece.code in floor.open):
        yield Wrong(_last_row(piece), f"piece {piece.code} is {piece.state}, and is kept among the others")
    if piece.spoiled and (remake := floor.pieces.get(piece.remake or "")) is None:
        yield Wrong(piece.spoiled.seq, f"piece {piece.code} was spoiled, and its remake {piece.remake} was not opened")
    elif piece.spoiled and remake and remake.remake_of != piece.code:
        yield Wrong(piece.spoiled.seq, f"remake {remake.code} is of another piece than {piece.code}")
    yield from _twice(piece)
    for n, (step, walked) in enumerate(zip(piece.route, piece.walk, strict=True)):
        yield from _wrongs_of_step(piece, n, step, walked)


def _twice(piece: Piece) -> Iterator[Wrong]:
    done: set[int] = set()
    for seq, event in ((row.seq, row.event) for row in sorted(piece.facts, key=lambda row: row.seq)):
        if not isinstance(event, StepDone):
            continue
        if event.step in done:
            yield Wrong(seq, f"{_step(piece, event.step)} is done twice")
        done.add(event.step)


def _wrongs_of_step(piece: Piece, n: int, step: Step, walked: Walked) -> Iterator[Wrong]:
    if piece.finished and step.if_missed == "stop" and walked.done is None:
        yield Wrong(_last_row(piece), f"piece {piece.code} is finished without its {step.label}")
    if not step.is_press or walked.done is None:
        return
    if walked.started is None:
        yield Wrong(_done_in(piece, n), f"{_step(piece, n)} has an end and no beginning")
    elif (held_s := (walked.done - walked.started).total_seconds()) < step.min_s:
        yield Wrong(_done_in(piece, n), f"{_step(piece, n)} lasted {held_s:g} s, and at least {step.min_s:g} s it must")


def _step(piece: Piece, n: int) -> str:
    return f"{piece.route[n].label} of piece {piece.code}"


def _done_in(piece: Piece, n: int) -> int:
    return max(row.seq for row in piece.facts if isinstance(row.event, StepDone) and row.event.step == n)


def _last_row(piece: Piece) -> int:
    return max((row.seq for row in piece.facts), default=piece.spoiled.seq if piece.spoiled else 0)
