"""Turns: which of the waiting pieces each station takes next, and why.

Never decides: it reads off the outlook what the shop's order does with the pieces that wait now.
"""

from collections.abc import Sequence
from datetime import datetime
from heapq import nsmallest

from msgspec import Struct

from floor.core.plan.outlook import Outlook
from floor.core.plan.play import Stay
from floor.core.plan.presses import wet_deadline
from floor.core.state.floor import Floor
from floor.core.state.job import Job
from floor.core.state.piece import Piece
from shared.files.shop import Shop
from shared.wording import moment

SHOWN = 3
"""So many pieces are named for each station."""


class Turn(Struct, frozen=True, kw_only=True):
    """A piece that waits for a station, the step that it waits for, and in at most five words why its turn comes."""

    piece: str
    step: str
    why: str


class _Waiting(Struct, frozen=True):
    piece: Piece
    job: Job
    stays: Sequence[Stay]


def turns(outlook: Outlook, floor: Floor, shop: Shop, now: datetime) -> dict[str, list[Turn]]:
    """For each station, in the order of the shop file, the pieces that it takes first of those that wait now."""
    waiting: dict[str, list[_Waiting]] = {name: [] for name in outlook.stations}
    for piece, stays in outlook.stays():
        if stays and stays[0].station is not None:
            waiting[outlook.stations[stays[0].station]].append(_Waiting(piece, floor.jobs[piece.job], stays))
    return {name: _first(those, shop, now) for name, those in waiting.items()}


def _first(waiting: list[_Waiting], shop: Shop, now: datetime) -> list[Turn]:
    first = nsmallest(SHOWN, waiting, key=lambda each: each.stays[0].starts_s)
    return [_turn(each, _why(each, waiting, shop, now)) for each in first]


def _turn(waiting: _Waiting, why: str) -> Turn:
    step = waiting.piece.step
    assert step is not None, "it waits for one"
    return Turn(piece=waiting.piece.code, step=step.label, why=why)


def _why(each: _Waiting, waiting: Sequence[_Waiting], shop: Shop, now: datetime) -> str:
    """What must not wait first; then what the shop would be late with; then what is due."""

    def at(then: datetime) -> str:
        return moment(then, now, shop.hours.zone, shop.words.language)

    say, deadline = shop.words.say, wet_deadline(each.piece)
    if deadline is not None:
        return say("dries out at {time}", time=at(deadline)) if now < deadline else say("wet for too long")
    if len(waiting) == 1:
        return say("nothing else waits")
    if all(other.job is each.job for other in waiting):
        return say("keeps the press fed") if _feeds_a_press(each) else say("next of its job")
    if each.job.due == min(other.job.due for other in waiting):
        return say("due first")
    return say("due {time}", time=at(each.job.due))


def _feeds_a_press(each: _Waiting) -> bool:
    """Whether a press takes the piece as soon as the step that it waits for is done."""
    then = each.piece.route[each.piece.position + 1 :][:1]
    here, *later = each.stays[:2]
    return any(step.is_press for step in then) and any(stay.starts_s == here.ends_s for stay in later)
