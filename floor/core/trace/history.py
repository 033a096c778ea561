"""One piece, or one job, as an answer: walk, times, what it was quoted at and what it cost.

Never decides and never draws.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Literal

from msgspec import UNSET, Struct, UnsetType

from floor.core.cost.actual import Costs, quoted
from floor.core.ink.use import Printed, printed_on
from floor.core.state.floor import Floor
from floor.core.state.job import Job
from floor.core.state.piece import Piece, PieceState
from floor.core.times.cycle import StepTime, Walks, cycle_time
from floor.core.times.elements import Elements
from floor.core.times.share import Basis, Why
from floor.core.times.use import job_times
from shared.events.jobs import Line
from shared.events.recorded import Recorded, read_of
from shared.files.shop import Shop
from shared.money import by_element, rounded, shown
from shared.route import InkName

_ML = Decimal("0.001")
JobState = Literal["open", "held", "finished", "cancelled"]


class ElementsTold(Struct, frozen=True, kw_only=True):
    """Time elements of ISO 22400-2, seconds: execution = busy + transport + queuing."""

    execution_s: float
    busy_s: float
    transport_s: float
    queuing_s: float


class JobTimesTold(Struct, frozen=True, kw_only=True):
    """The execution of a job, elapsed and within opening hours; of its steps so many are derived or assumed."""

    started: datetime
    until: datetime
    elapsed: ElementsTold
    working: ElementsTold
    derived: int
    assumed: int


class StepTold(Struct, frozen=True, kw_only=True):
    """One step of a piece's walk; durations in seconds. `basis` and `why`: how its time is known (`Share`)."""

    step: str
    place: str | None
    event: str
    started: datetime | None
    done: datetime | None
    station: str | None
    badge: str | None
    derived: bool
    assumed: bool
    basis: Basis | None
    why: Why | None
    queuing_s: float | None
    processing_s: float | None


class InkTold(Struct, frozen=True, kw_only=True):
    """Ink that is on a piece: as it was read, or as it was estimated."""

    step: str
    ink: InkName
    ml: Decimal
    measured: bool


class ContradictionTold(Struct, frozen=True, kw_only=True):
    """A row that contradicts the walk, for a person to settle."""

    seq: int
    at: datetime
    station: str | None
    say: str


class CycleTold(Struct, frozen=True, kw_only=True):
    """The cycle time of a finished piece, seconds."""

    elapsed: float | None
    working: float | None


class PieceAnswer(Struct, frozen=True, kw_only=True):
    """The whole history of a piece; money in the shop's currency, rounded as it is shown."""

    piece: str
    job: str
    line: int
    number: int
    of: int
    design: str
    item: str
    colour: str
    size: str
    state: PieceState
    remake_of: str | None
    remake: str | None
    spoiled_for: str | None
    next: str | None
    walk: list[StepTold]
    ink: list[InkTold]
    contradictions: list[ContradictionTold]
    cycle_time_s: CycleTold
    currency: str
    quoted: dict[str, Decimal]
    actual: dict[str, Decimal]


def piece_answer(floor: Floor, shop: Shop, piece: Piece) -> PieceAnswer:
    """The whole history of a piece."""
    line = floor.line_of(piece)
    walks = Walks(floor, shop)
    times = walks.of(piece)
    cycle = cycle_time(times, shop.hours)
    return PieceAnswer(
        piece=piece.code,
        job=piece.job,
        line=piece.line,
        number=piece.number,
        of=line.quantity,
        design=line.design,
        item=line.item,
        colour=line.colour,
        size=piece.size,
        state=piece.state,
        remake_of=piece.remake_of,
        remake=piece.remake,
        spoiled_for=piece.spoiled.reason if piece.spoiled else None,
        next=_next(piece),
        walk=[_walked(time) for time in times],
        ink=[_ink(each) for each in printed_on(floor, piece)],
        contradictions=[_contradiction(row) for row in piece.contradictions],
        cycle_time_s=CycleTold(
            elapsed=cycle.elapsed.total_seconds() if cycle else None,
            working=cycle.working.total_seconds() if cycle else None,
        ),
        currency=shop.currency,
        quoted=shown(by_element(quoted(floor, piece)), shop.unit),
        actual=shown(by_element(Costs(walks, shop).of(piece)), shop.unit),
    )


def _next(piece: Piece) -> str | None:
    return piece.step.label if piece.step and piece.state == "open" else None


def _walked(time: StepTime) -> StepTold:
    queuing, processing = time.queuing, time.processing
    return StepTold(
        step=time.step.key,
        place=time.step.place or None,
        event=time.step.event,
        started=time.started,
        done=time.done,
        station=time.station,
        badge=time.badge,
        derived=time.derived,
        assumed=time.assumed,
        basis=time.share.basis if time.over else None,
        why=time.share.why or None if time.over else None,
        queuing_s=queuing.total_seconds() if queuing is not None else None,
        processing_s=processing.total_seconds() if processing is not None else None,
    )


def _ink(each: Printed) -> InkTold:
    return InkTold(step=each.step.label, ink=each.ink, ml=rounded(each.ml, _ML), measured=each.measured)


def _contradiction(row: Recorded) -> ContradictionTold:
    read = read_of(row.event)
    say = read.answer.say if read else ""
    return ContradictionTold(seq=row.seq, at=row.occurred_at, station=row.station, say=say)


# Jobs


class LineTold(Struct, frozen=True, kw_only=True):
    """A line of a job as it was ordered."""

    line: int
    design: str
    item: str
    colour: str
    sizes: Mapping[str, int]
    places: Sequence[str]
    price_each: Decimal


class PieceLine(Struct, frozen=True, kw_only=True):
    """A piece of a job, and how far it is."""

    piece: str
    line: int
    number: int
    size: str
    state: PieceState
    next: str | None
    remake_of: str | None


class JobAnswer(Struct, frozen=True, kw_only=True):
    """A job, and how far it is."""

    job: str
    customer: str
    due: datetime
    state: JobState
    why: str | None
    pieces: int
    finished: int
    spoiled: int
    open: int
    lines: list[LineTold] | UnsetType = UNSET
    """Of the whole job alone, as `walks`."""
    walks: list[PieceLine] | UnsetType = UNSET


def job_answer(job: Job, whole: bool = False) -> JobAnswer:
    """A job, with its lines and pieces when the whole of it is asked for."""
    states = [piece.state for piece in job.pieces]
    return JobAnswer(
        job=job.code,
        customer=job.customer,
        due=job.due,
        state=_job_state(job),
        why=job.why or None,
        pieces=job.wanted,
        finished=states.count("finished"),
        spoiled=states.count("spoiled"),
        open=states.count("open"),
        lines=[_line(line) for line in job.lines] if whole else UNSET,
        walks=[_piece_line(piece) for piece in job.pieces] if whole else UNSET,
    )


def job_times_answer(floor: Floor, shop: Shop, job: Job, now: datetime) -> JobTimesTold | None:
    """The execution of a job in the time elements of ISO 22400-2, seconds; None where nothing of it was begun."""
    times = job_times(Walks(floor, shop), shop.hours, job, now)
    if times is None:
        return None
    return JobTimesTold(
        started=times.started,
        until=times.until,
        elapsed=_elements(times.elapsed),
        working=_elements(times.working),
        derived=times.derived,
        assumed=times.assumed,
    )


def _elements(its: Elements) -> ElementsTold:
    return ElementsTold(
        execution_s=its.execution.total_seconds(),
        busy_s=its.busy.total_seconds(),
        transport_s=its.transport.total_seconds(),
        queuing_s=its.queuing.total_seconds(),
    )


def _job_state(job: Job) -> JobState:
    if job.cancelled:
        return "cancelled"
    if job.finished:
        return "finished"
    return "held" if job.held else "open"


def _line(line: Line) -> LineTold:
    return LineTold(
        line=line.number,
        design=line.design,
        item=line.item,
        colour=line.colour,
        sizes=line.sizes,
        places=line.places,
        price_each=line.price_each,
    )


def _piece_line(piece: Piece) -> PieceLine:
    return PieceLine(
        piece=piece.code,
        line=piece.line,
        number=piece.number,
        size=piece.size,
        state=piece.state,
        next=_next(piece),
        remake_of=piece.remake_of,
    )
