"""The press queue: what is in the presses, what waits wet for one, and when each goes in and comes out.

Never opens a press: it counts, and plays the queue forward from the state and the time that it is given.
"""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from msgspec import Struct

from floor.state import Floor, Piece
from shared.route import Step
from shared.shop import Shop

NO_LIMIT = datetime.max.replace(tzinfo=UTC)


class InPress(Struct, frozen=True, kw_only=True):
    """A press, and the piece in it. `seconds_left` is below zero when it should have been opened."""

    station: str
    piece: str | None = None
    closed_since: datetime | None = None
    opens_at: datetime | None = None
    seconds_left: float | None = None
    over_s: float = 0
    """How long over its time the piece may stay before somebody is told."""


class Wet(Struct, frozen=True, kw_only=True):
    """A piece that waits, wet, for a press. Expected moments are None where no press takes it."""

    piece: str
    step: str
    since: datetime
    wet_s: float
    limit_s: float | None
    expected_in: datetime | None
    expected_out: datetime | None


def in_presses(floor: Floor, shop: Shop, now: datetime) -> list[InPress]:
    """Every press, in the order of the shop file; one line for each piece that is in it, or one for an empty press."""
    held: dict[str, list[InPress]] = {press: [] for press in shop.presses}
    for piece in floor.open.values():
        step = piece.step
        if step and step.kind == "dwell" and piece.in_work:
            pressed = _pressed(piece, step, now)
            held.setdefault(pressed.station, []).append(pressed)
    by_opening = {press: sorted(pieces, key=_opening) for press, pieces in held.items()}
    return [line for press, pieces in by_opening.items() for line in (pieces or [InPress(station=press)])]


def _opening(pressed: InPress) -> tuple[datetime, str]:
    assert pressed.opens_at is not None
    return pressed.opens_at, pressed.piece or ""


def _pressed(piece: Piece, step: Step, now: datetime) -> InPress:
    walked = piece.walk[piece.position]
    assert walked.started is not None
    opens_at = walked.started + timedelta(seconds=step.min_s)
    return InPress(
        station=walked.station or "",
        piece=piece.code,
        closed_since=walked.started,
        opens_at=opens_at,
        seconds_left=(opens_at - now).total_seconds(),
        over_s=step.over_s,
    )


def wet_deadline(piece: Piece) -> datetime | None:
    """When a piece that lies wet has done so for too long; None for any other, and where the shop sets no limit."""
    limit_s = piece.step.wait_limit_s if piece.wet and piece.step else None
    return None if limit_s is None else piece.waiting_since() + timedelta(seconds=limit_s)


def wet_queue(floor: Floor, shop: Shop, now: datetime) -> list[Wet]:
    """The wet pieces in the order in which the presses should take them, with the times to expect.

    The queue is played forward: the press that is free first takes the next piece that it can, hands need the
    step's touch time to close it, and then it dwells.
    """
    free = _free_presses(floor, shop, now)
    waiting = sorted((piece for piece in floor.open.values() if piece.wet), key=lambda p: _order(floor, p))
    return [_play(piece, free, shop, now) for piece in waiting]


def _order(floor: Floor, piece: Piece) -> tuple[datetime, datetime, datetime, str]:
    """The wet limit first, then due time, then longest waiting."""
    deadline = wet_deadline(piece) or NO_LIMIT
    return (deadline, floor.jobs[piece.job].order.due, piece.waiting_since(), piece.code)


def _free_presses(floor: Floor, shop: Shop, now: datetime) -> dict[str, datetime]:
    """When each press is free: now, or when what is in it may come out."""
    free = dict.fromkeys(shop.presses, now)
    for line in in_presses(floor, shop, now):
        if line.opens_at and line.station in free:
            free[line.station] = max(free[line.station], line.opens_at)
    return free


def _play(piece: Piece, free: dict[str, datetime], shop: Shop, now: datetime) -> Wet:
    step = piece.step
    assert step is not None
    since = piece.waiting_since()
    press = _first_free(free, shop.stations_for(step.key))
    closes = opens = None
    if press is not None:
        closes = max(free[press], now) + timedelta(seconds=step.touch_s)
        opens = free[press] = closes + timedelta(seconds=step.min_s)
    return Wet(
        piece=piece.code,
        step=step.label,
        since=since,
        wet_s=max((now - since).total_seconds(), 0.0),
        limit_s=step.wait_limit_s,
        expected_in=closes,
        expected_out=opens,
    )


def _first_free(free: dict[str, datetime], presses: Iterable[str]) -> str | None:
    candidates = [press for press in presses if press in free]
    return min(candidates, key=lambda press: free[press], default=None)
