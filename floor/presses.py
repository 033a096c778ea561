"""The press queue: what is in the presses, what waits wet for one, and when each goes in and comes out.

Never opens a press: it counts, and plays the queue forward from the state and the time that it is given.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import NamedTuple

from msgspec import Struct

from floor.outages import NEVER
from floor.state import Floor, Piece
from shared.route import Step
from shared.shop import Shop


class InPress(Struct, frozen=True, kw_only=True):
    """A press, and the piece in it. `seconds_left` is below zero when it should have been opened."""

    station: str
    piece: str | None = None
    closed_since: datetime | None = None
    opens_at: datetime | None = None
    seconds_left: float | None = None
    over_s: float = 0
    """How long over its time the piece may stay before somebody is told."""
    down_since: datetime | None = None
    """Since when the press takes no work; a piece that had had its time by then still comes out."""


class Wet(Struct, frozen=True, kw_only=True):
    """A piece that waits, wet, for a press. Expected moments are None where no press takes it."""

    piece: str
    step: str
    since: datetime
    wet_s: float
    limit_s: float | None
    expected_in: datetime | None
    expected_out: datetime | None
    press: str | None = None
    """The one that takes it."""


def in_presses(floor: Floor, shop: Shop, now: datetime) -> list[InPress]:
    """Every press, in the order of the shop file; one line for each piece that is in it, or one for an empty press."""
    held: dict[str, list[InPress]] = {press: [] for press in shop.presses}
    for piece in floor.open.values():
        step = piece.step
        if step and step.is_press and piece.in_work:
            pressed = _pressed(floor, piece, step, now)
            held.setdefault(pressed.station, []).append(pressed)
    by_opening = {press: sorted(pieces, key=_opening) for press, pieces in held.items()}
    return [line for press, pieces in by_opening.items() for line in (pieces or [_empty(floor, press)])]


def _empty(floor: Floor, press: str) -> InPress:
    return InPress(station=press, down_since=floor.down_since(press))


def _opening(pressed: InPress) -> tuple[datetime, str]:
    assert pressed.opens_at is not None
    return pressed.opens_at, pressed.piece or ""


def _pressed(floor: Floor, piece: Piece, step: Step, now: datetime) -> InPress:
    walked = piece.walk[piece.position]
    assert walked.started is not None
    opens_at = walked.started + timedelta(seconds=step.min_s)
    station = walked.station or ""
    return InPress(
        station=station,
        piece=piece.code,
        closed_since=walked.started,
        opens_at=opens_at,
        seconds_left=(opens_at - now).total_seconds(),
        over_s=step.over_s,
        down_since=floor.down_since(station),
    )


def wet_deadline(piece: Piece) -> datetime | None:
    """When a piece that lies wet has done so for too long; None for any other, and where the shop sets no limit."""
    limit_s = piece.step.wait_limit_s if piece.wet and piece.step else None
    return None if limit_s is None else piece.waiting_since() + timedelta(seconds=limit_s)


def wet_queue(floor: Floor, shop: Shop, now: datetime) -> list[Wet]:
    """The wet pieces in the order in which the presses should take them, with the times to expect.

    The queue is played forward, piece by piece: see `take_turn`.
    """
    free = _free_presses(floor, shop, now)
    waiting = sorted((piece for piece in floor.open.values() if piece.wet), key=lambda piece: press_order(floor, piece))
    return [_play(piece, free, shop, now) for piece in waiting]


def press_order(floor: Floor, piece: Piece) -> tuple[datetime, datetime, datetime, str]:
    """Sorts wet pieces as the presses should take them: the wet limit first, then due time, then longest waiting."""
    deadline = wet_deadline(piece) or NEVER
    return (deadline, floor.jobs[piece.job].order.due, piece.waiting_since(), piece.code)


def _free_presses(floor: Floor, shop: Shop, now: datetime) -> dict[str, datetime]:
    """When each press is free: now, or when what is in it may come out; those that are down are left out."""
    free = {press: now for press in shop.presses if floor.down_since(press) is None}
    for line in in_presses(floor, shop, now):
        if line.opens_at and line.station in free:
            free[line.station] = max(free[line.station], line.opens_at)
    return free


class Turn(NamedTuple):
    """The press that takes a piece, when it is closed on it, and when it opens."""

    press: str
    closes: datetime
    opens: datetime


def take_turn(free: dict[str, datetime], presses: Iterable[str], step: Step, ready: datetime) -> Turn | None:
    """Put the next piece, ready from a moment on, into the press that is free first; None where there is no press.

    Hands need the step's touch time to close it, and then it dwells. `free`, when each press is free, is moved on.
    """
    press = min((press for press in presses if press in free), key=free.__getitem__, default=None)
    if press is None:
        return None
    closes = max(free[press], ready) + timedelta(seconds=step.touch_s)
    opens = free[press] = closes + timedelta(seconds=step.min_s)
    return Turn(press, closes, opens)


def _play(piece: Piece, free: dict[str, datetime], shop: Shop, now: datetime) -> Wet:
    step = piece.step
    assert step is not None
    since = piece.waiting_since()
    turn = take_turn(free, shop.stations_for(step.key), step, max(now, since))
    return Wet(
        piece=piece.code,
        step=step.label,
        since=since,
        wet_s=max((now - since).total_seconds(), 0.0),
        limit_s=step.wait_limit_s,
        expected_in=turn.closes if turn else None,
        expected_out=turn.opens if turn else None,
        press=turn.press if turn else None,
    )
