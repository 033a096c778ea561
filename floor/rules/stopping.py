"""A station goes down, and comes up again: it takes no work meanwhile, and a press that is down cures nothing.

Never counts what a press had done before it went down: a dwell is had in one go, in a press that works.
"""

from collections.abc import Iterator

from floor.rules.reading import Decision, Reading
from floor.rules.steps import one_after_another
from floor.state import Piece
from shared.events import StationCameUp, StationWentDown, StepInterrupted
from shared.scan import Answer


def station_down(reading: Reading) -> Decision:
    """The card that takes a station out of use. What is in a press there must be pressed anew."""
    uncured = list(_uncured(reading))
    down = reading.say("{station} is down: it takes no work until its station up card.", station=reading.station)
    codes = ", ".join(piece.code for piece in uncured)
    anew = reading.say("Press anew: {pieces}.", pieces=codes) if uncured else ""
    answer = Answer(outcome="accepted", say=one_after_another(down, anew))
    event = StationWentDown(at_station=reading.station or "", read=reading.read(answer))
    interrupted = (StepInterrupted(piece=piece.code, step=piece.position) for piece in uncured)
    return Decision((reading.fact(event), *(reading.fact(each, follows=True) for each in interrupted)), answer)


def _uncured(reading: Reading) -> Iterator[Piece]:
    """The pieces in a press that have not had their time."""
    for piece in reading.inside():
        step, began = piece.route[piece.position], piece.walk[piece.position].started
        if began and (reading.scan.at - began).total_seconds() < step.min_s:
            yield piece


def station_up(reading: Reading) -> Decision:
    """The card that puts a station into use again."""
    say = reading.say("{station} takes work again.", station=reading.station)
    answer = Answer(outcome="accepted", say=say)
    event = StationCameUp(at_station=reading.station or "", read=reading.read(answer))
    return Decision((reading.fact(event),), answer)
