"""One piece, or one job, as an answer: walk, times, what it was quoted at and what it cost.

Never decides and never draws.
"""

from datetime import datetime
from decimal import Decimal
from typing import Any

import msgspec
from msgspec import Struct

from floor.core.cost.actual import Costs, quoted
from floor.core.ink.use import Printed, printed_on
from floor.core.state.floor import Floor
from floor.core.state.job import Job
from floor.core.state.piece import Piece
from floor.core.times.cycle import StepTime, Walks, cycle_time
from floor.core.times.elements import Elements
from floor.core.times.use import job_times
from shared.events.jobs import Line
from shared.events.recorded import Recorded, read_of
from shared.files.shop import Shop
from shared.money import by_element, rounded, shown

_ML = Decimal("0.001")


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


def piece_answer(floor: Floor, shop: Shop, piece: Piece) -> dict[str, Any]:
    """The whole history of a piece as plain data: times RFC 3339 in UTC, durations in seconds, money as strings."""
    line = floor.line_of(piece)
    walks = Walks(floor, shop)
    times = walks.of(piece)
    cycle = cycle_time(times, shop.hours)
    answer = {
        "piece": piece.code,
        "job": piece.job,
        "line": piece.line,
        "number": piece.number,
        "of": line.quantity,
        "design": line.design,
        "item": line.item,
        "colour": line.colour,
        "size": piece.size,
        "state": piece.state,
        "remake_of": piece.remake_of,
        "remake": piece.remake,
        "spoiled_for": piece.spoiled.reason if piece.spoiled else None,
        "next": piece.step.label if piece.step and piece.state == "open" else None,
        "walk": [_walked(time) for time in times],
        "ink": [_ink(each) for each in printed_on(floor, piece)],
        "contradictions": [_contradiction(row) for row in piece.contradictions],
        "cycle_time_s": {
            "elapsed": cycle.elapsed.total_seconds() if cycle else None,
            "working": cycle.working.total_seconds() if cycle else None,
        },
        "currency": shop.currency,
        "quoted": shown(by_element(quoted(floor, piece)), shop.unit),
        "actual": shown(by_element(Costs(walks, shop).of(piece)), shop.unit),
    }
    return dict(msgspec.to_builtins(answer))


def _walked(time: StepTime) -> dict[str, Any]:
    queuing, processing = time.queuing, time.processing
    return {
        "step": time.step.key,
        "place": time.step.place or None,
        "event": time.step.event,
        "started": time.started,
        "done": time.done,
        "station": time.station,
        "badge": time.badge,
        "derived": time.derived,
        "assumed": time.assumed,
        "basis": time.share.basis if time.over else None,
        "why": time.share.why or None if time.over else None,
        "queuing_s": queuing.total_seconds() if queuing is not None else None,
        "processing_s": processing.total_seconds() if processing is not None else None,
    }


def _ink(each: Printed) -> dict[str, Any]:
    return {"step": each.step.label, "ink": each.ink, "ml": rounded(each.ml, _ML), "measured": each.measured}


def _contradiction(row: Recorded) -> dict[str, Any]:
    read = read_of(row.event)
    say = read.answer.say if read else ""
    return {"seq": row.seq, "at": row.occurred_at, "station": row.station, "say": say}


def job_answer(job: Job, whole: bool = False) -> dict[str, Any]:
    """A job as plain data, with its lines and pieces when the whole of it is asked for."""
    states = [piece.state for piece in job.pieces]
    answer: dict[str, Any] = {
        "job": job.code,
        "customer": job.customer,
        "due": job.due,
        "state": _job_state(job),
        "why": job.why or None,
        "pieces": job.wanted,
        "finished": states.count("finished"),
        "spoiled": states.count("spoiled"),
        "open": states.count("open"),
    }
    if whole:
        answer["lines"] = [_line(line) for line in job.lines]
        answer["walks"] = [_piece_line(piece) for piece in job.pieces]
    return dict(msgspec.to_builtins(answer))


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


def _job_state(job: Job) -> str:
    if job.cancelled:
        return "cancelled"
    if job.finished:
        return "finished"
    return "held" if job.held else "open"


def _line(line: Line) -> dict[str, Any]:
    return {
        "line": line.number,
        "design": line.design,
        "item": line.item,
        "colour": line.colour,
        "sizes": dict(line.sizes),
        "places": list(line.places),
        "price_each": line.price_each,
    }


def _piece_line(piece: Piece) -> dict[str, Any]:
    return {
        "piece": piece.code,
        "line": piece.line,
        "number": piece.number,
        "size": piece.size,
        "state": piece.state,
        "next": piece.step.label if piece.step and piece.state == "open" else None,
        "remake_of": piece.remake_of,
    }
