"""The presses: what is in them, when it may come out, and in which order they take what waits wet.

Never opens a press: it counts, from the state and the time that it is given.
"""

from datetime import datetime, timedelta

from msgspec import Struct

from floor.core.state.floor import Floor
from floor.core.state.outages import NEVER
from floor.core.state.piece import Piece
from shared.files.shop import Shop
from shared.route import Step


class InPress(Struct, frozen=True, kw_only=True):
    """A press, and the piece in it. `seconds_left` is below zero when it should have been opened."""

    station: str
    piece: str | None = None
    closed_since: datetime | None = None
    opens_at: datetime | None = None
    seconds_left: float | None = None
    over_s: float = 0
    """How long over its time the piece may stay before somebody is told."""
    take_out: bool = False
    """Whether the piece was spoiled or given up in there: it need not stay, but the press is not free."""
    down_since: datetime | None = None
    """Since when the press takes no work; a piece that had had its time by then still comes out."""


def in_presses(floor: Floor, shop: Shop, now: datetime) -> list[InPress]:
    """Every press, in the order of the shop file; one line for each piece that is in it, or one for an empty press."""
    held: dict[str, list[InPress]] = {press: [] for press in shop.presses}
    for piece in floor.present():
        if piece.press is not None and piece.step is not None:
            pressed = _pressed(floor, piece, piece.step, now)
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
        take_out=piece.given_up is not None,
        down_since=floor.down_since(station),
    )


def wet_deadline(piece: Piece) -> datetime | None:
    """When a piece that lies wet has done so for too long; None for any other, and where the shop sets no limit."""
    limit_s = piece.step.wait_limit_s if piece.wet and piece.step else None
    return None if limit_s is None else piece.waiting_since() + timedelta(seconds=limit_s)


def press_order(floor: Floor, piece: Piece) -> tuple[datetime, datetime, datetime, str]:
    """Sorts wet pieces as the presses should take them: the wet limit first, then due time, then longest waiting."""
    deadline = wet_deadline(piece) or NEVER
    return (deadline, floor.jobs[piece.job].due, piece.waiting_since(), piece.code)
