"""What happens to jobs: they are taken, held, released, given up, and get their pieces.

Never touches the walk of a piece: that is floor.core.folds.walks.
"""

from floor.core.folds.kinds import FOLDS
from floor.core.folds.sorting import sort_in
from floor.core.state.floor import Floor
from floor.core.state.job import Job
from floor.core.state.piece import Piece
from shared.events.jobs import JobAdded, JobCancelled, JobForetold, JobHeld, JobReleased, PieceOpened
from shared.events.recorded import Recorded


@FOLDS.of(JobAdded)
def job_added(floor: Floor, row: Recorded, event: JobAdded) -> None:
    floor.jobs[event.job] = Job(
        code=event.job,
        customer=event.customer,
        due=event.due,
        currency=event.currency,
        lines=event.lines,
        added=row.occurred_at,
    )


@FOLDS.of(JobHeld)
def job_held(floor: Floor, row: Recorded, event: JobHeld) -> None:
    job = floor.jobs[event.job]
    job.held_since, job.held_why = row.occurred_at, event.why
    job.was_held = True


@FOLDS.of(JobReleased)
def job_released(floor: Floor, _row: Recorded, event: JobReleased) -> None:
    floor.jobs[event.job].held_since = None


@FOLDS.of(JobCancelled)
def job_cancelled(floor: Floor, row: Recorded, event: JobCancelled) -> None:
    job = floor.jobs[event.job]
    job.cancelled, job.cancelled_why = row.occurred_at, event.why
    for piece in job.pieces:
        if piece.state == "open":
            piece.cancelled = row.occurred_at
            sort_in(floor, piece)


@FOLDS.of(JobForetold)
def job_foretold(floor: Floor, row: Recorded, event: JobForetold) -> None:
    floor.jobs[event.job].foretold = (row.occurred_at, event.expected)


@FOLDS.of(PieceOpened)
def piece_opened(floor: Floor, row: Recorded, event: PieceOpened) -> None:
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
