"""The press queue: what waits wet for a press, and when each piece goes in and comes out.

Never plays anything itself: the outlook of the whole floor says when.
"""

from datetime import datetime

from msgspec import Struct

from floor.core.plan.outlook import Outlook, Pressing
from floor.core.state.piece import Piece


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


def wet_queue(ahead: Outlook, now: datetime) -> list[Wet]:
    """The wet pieces in the order in which the presses should take them, with the times to expect."""
    return [_wet(piece, pressing, now) for piece, pressing in ahead.pressing()]


def _wet(piece: Piece, pressing: Pressing | None, now: datetime) -> Wet:
    step = piece.step
    assert step is not None, "what is wet waits for a press"
    since = piece.waiting_since()
    return Wet(
        piece=piece.code,
        step=step.label,
        since=since,
        wet_s=max((now - since).total_seconds(), 0.0),
        limit_s=step.wait_limit_s,
        expected_in=pressing.closes if pressing else None,
        expected_out=pressing.opens if pressing else None,
        press=pressing.press if pressing else None,
    )
