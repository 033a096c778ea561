"""A station goes down, and comes up again: it takes no work meanwhile, and a press that is down cures nothing.

Never counts what a press had done before it went down: a dwell is had in one go, in a press that works.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime

from msgspec.structs import replace

from floor.core.rules.reading import Decision, Reading
from floor.core.rules.steps import one_after_another
from floor.core.state.piece import Piece
from shared.events.reads import StationCameUp, StationWentDown, StepInterrupted
from shared.events.recorded import Fact
from shared.scan import Answer


def station_down(reading: Reading) -> Decision:
    """The card that takes a station out of use. What is in a press there must be pressed anew."""
    uncured = list(_uncured(reading))
    down = reading.say("{station} is down: it takes no work until its station up card.", station=reading.station)
    anew = press_anew(reading, [piece for piece, _ in uncured]) if uncured else ""
    answer = Answer(outcome="accepted", say=one_after_another(down, anew))
    event = StationWentDown(at_station=reading.station or "", read=reading.read(answer))
    interrupted = (_interrupted(reading, piece, piece.position, at) for piece, at in uncured)
    return Decision((reading.fact(event), *interrupted), answer)


def press_anew(reading: Reading, pieces: Sequence[Piece]) -> str:
    """What is to be done to pieces that have not had their time in one go."""
    return reading.say("Press anew: {pieces}.", pieces=", ".join(piece.code for piece in pieces))


def _uncured(reading: Reading) -> Iterator[tuple[Piece, datetime]]:
    """The pieces in a press that have not had their time, each with when that ended.

    A card that comes late may tell of a press that was down already when it was closed on a piece.
    """
    down, outages = reading.scan.at, reading.memory.outages
    for piece, began in ((piece, began) for piece, began in reading.inside() if piece.state == "open"):
        held_s = (down - began).total_seconds()
        if 0 <= held_s < piece.route[piece.position].min_s or (held_s < 0 and not outages.up_between(down, began)):
            yield piece, max(began, down)


def interruption(reading: Reading, piece: Piece, index: int, press: str | None, began: datetime) -> Fact | None:
    """The fact that a press went down before a piece had had its time in it, where it did by now."""
    station = reading.floor.stations.get(press or "")
    down = station.outages.next_down(began) if station else None
    if down is None or (down - began).total_seconds() >= piece.route[index].min_s:
        return None
    return _interrupted(reading, piece, index, down)


def _interrupted(reading: Reading, piece: Piece, index: int, at: datetime) -> Fact:
    fact = reading.fact(StepInterrupted(piece=piece.code, step=index), follows=True)
    return replace(fact, occurred_at=at)


def station_up(reading: Reading) -> Decision:
    """The card that puts a station into use again."""
    again = "{station} takes work again." if reading.down(reading.station) else "{station} was not down: it takes work."
    say = reading.say(again, station=reading.station)
    answer = Answer(outcome="accepted", say=say)
    event = StationCameUp(at_station=reading.station or "", read=reading.read(answer))
    return Decision((reading.fact(event),), answer)
