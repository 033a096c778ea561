"""The board: the floor at one moment, as data. Walls and pages draw it, and nothing else.

Never draws, and never keeps anything: state and time in, board out.
"""

from collections.abc import Mapping
from datetime import datetime

from msgspec import Struct

from floor.core.plan.band import Band, Bands
from floor.core.plan.forecast import late
from floor.core.plan.outlook import outlook
from floor.core.plan.presence import Present, present
from floor.core.plan.presses import InPress, in_presses
from floor.core.plan.turns import Turn, turns
from floor.core.plan.wet import Wet, wet_queue
from floor.core.state.floor import Alarm, Floor
from floor.core.state.job import Job
from floor.core.state.piece import Piece
from shared.files.shop import Shop


class StepLine(Struct, frozen=True, kw_only=True):
    """One step of the floor: pieces that wait for it, pieces in it, and how long the first has waited."""

    step: str
    waiting: int
    working: int
    oldest_wait_s: float | None


class BoardJob(Struct, frozen=True, kw_only=True):
    """One job with open pieces."""

    job: str
    customer: str
    due: datetime
    pieces: int
    finished: int
    spoiled: int
    held: bool
    why: str = ""
    """Why it is on hold, where somebody said so."""
    expected_finish: datetime | None
    expected_between: Band | None
    """The band around it, as wide as past forecasts were wrong; None with too few of them."""
    late: bool


class AlarmLine(Struct, frozen=True, kw_only=True):
    """Something that needs a person; `piece` is None where it is about a job or a task."""

    kind: str
    subject: str
    piece: str | None
    station: str | None
    since: datetime
    say: str


class Today(Struct, frozen=True, kw_only=True):
    """The shop's day so far."""

    finished: int
    spoiled: int


class Board(Struct, frozen=True, kw_only=True):
    """The floor at one moment, up to and with ledger row `seq`."""

    at: datetime
    seq: int
    steps: list[StepLine]
    presses: list[InPress]
    wet: list[Wet]
    next: dict[str, list[Turn]]
    """For each station, the pieces to take next of those that wait for it."""
    jobs: list[BoardJob]
    alarms: list[AlarmLine]
    contradictions: list[str]
    """Pieces with facts that contradict each other, for a person to settle."""
    today: Today
    hands: list[Present]


def board(floor: Floor, shop: Shop, now: datetime) -> Board:
    """The board of a floor at a moment."""
    ahead = outlook(floor, shop, now)
    return Board(
        at=now,
        seq=floor.seq,
        steps=_steps(floor, shop, now),
        presses=in_presses(floor, shop, now),
        wet=wet_queue(ahead, now),
        next=turns(ahead, floor, shop, now),
        jobs=_jobs(floor, shop, ahead.finishes(), now),
        alarms=_alarms(floor),
        contradictions=_contradictions(floor, shop, now),
        today=_today(floor, shop, now),
        hands=present(floor, shop, now),
    )


def _steps(floor: Floor, shop: Shop, now: datetime) -> list[StepLine]:
    """Each step of the shop file, and any that is on the route of an open piece still."""
    at_step: dict[str, list[Piece]] = {key: [] for key in shop.file.steps}
    for piece in floor.open.values():
        if piece.step is not None:
            at_step.setdefault(piece.step.key, []).append(piece)
    return [_step(key, pieces, now) for key, pieces in at_step.items()]


def _step(key: str, pieces: list[Piece], now: datetime) -> StepLine:
    waiting = [piece.waiting_since() for piece in pieces if not piece.in_work]
    working = len(pieces) - len(waiting)
    return StepLine(step=key, waiting=len(waiting), working=working, oldest_wait_s=_oldest_s(waiting, now))


def _oldest_s(since: list[datetime], now: datetime) -> float | None:
    return max((now - min(since)).total_seconds(), 0.0) if since else None


def _jobs(floor: Floor, shop: Shop, expected: Mapping[str, datetime | None], now: datetime) -> list[BoardJob]:
    """Jobs with open pieces, by due time."""
    open_jobs = {piece.job: floor.jobs[piece.job] for piece in floor.open.values()}
    bands = Bands(floor, shop.hours, now)
    return [_job(floor, job, expected.get(job.code), bands, now) for job in sorted(open_jobs.values(), key=_due)]


def _due(job: Job) -> tuple[datetime, str]:
    return job.due, job.code


def _job(floor: Floor, job: Job, expected: datetime | None, bands: Bands, now: datetime) -> BoardJob:
    states = [piece.state for piece in job.pieces]
    return BoardJob(
        job=job.code,
        customer=job.customer,
        due=job.due,
        pieces=job.wanted,
        finished=states.count("finished"),
        spoiled=states.count("spoiled"),
        held=job.held,
        why=job.why,
        expected_finish=expected,
        expected_between=bands.around(expected),
        late=late(floor, job, expected, now),
    )


def _alarms(floor: Floor) -> list[AlarmLine]:
    """The longest standing first."""
    alarms = sorted(floor.alarms.values(), key=lambda alarm: (alarm.since, alarm.kind, alarm.subject))
    return [_alarm(floor, alarm) for alarm in alarms]


def _alarm(floor: Floor, alarm: Alarm) -> AlarmLine:
    return AlarmLine(
        kind=alarm.kind,
        subject=alarm.subject,
        piece=alarm.subject if alarm.subject in floor.pieces else None,
        station=alarm.station,
        since=alarm.since,
        say=alarm.say,
    )


def _contradictions(floor: Floor, shop: Shop, now: datetime) -> list[str]:
    """Pieces with contradictions that are still open, or of which one was told today."""
    start, _ = shop.hours.day_bounds(shop.hours.day_of(now))
    fresh = (row.event.stream for row in floor.contradicted if row.recorded_at >= start)
    return list(dict.fromkeys([*(code for code, piece in floor.open.items() if piece.contradictions), *fresh]))


def _today(floor: Floor, shop: Shop, now: datetime) -> Today:
    start, end = shop.hours.day_bounds(shop.hours.day_of(now))
    states = [piece.state for piece in floor.ended_between(start, end)]
    return Today(finished=states.count("finished"), spoiled=states.count("spoiled"))
