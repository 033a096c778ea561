"""A step that is scanned when it begins and when it ends, such as a cure in a press: may it begin here, may it end.

Never decides which step it is: that is floor.rules.walking.
"""

from collections.abc import Iterator
from datetime import datetime
from math import ceil

from msgspec.structs import replace

from floor.rules.reading import Decision, Reading
from floor.rules.steps import assumed, done, either, elsewhere, hints, one_after_another
from floor.state import Piece
from floor.wording import duration
from shared.events import Fact, StepInterrupted, StepStarted
from shared.route import Step
from shared.scan import Answer


def in_or_out(reading: Reading, piece: Piece, index: int) -> Decision:
    """What a piece's code leads to where its step is scanned twice."""
    walked = piece.walk[index]
    if walked.started is None:
        return _in(reading, piece, index)
    if walked.station == reading.station:
        return _out(reading, piece, index, walked.started)
    say = reading.say("This piece is in {station}. Scan it out there.", station=walked.station)
    return reading.refused("wrong-station", say, piece, step=piece.route[index])


# In


def _in(reading: Reading, piece: Piece, index: int) -> Decision:
    step = piece.route[index]
    return _down(reading, piece, step) or _full(reading, piece, step) or _started(reading, piece, index)


def _down(reading: Reading, piece: Piece, step: Step) -> Decision | None:
    """Refused: nothing is begun at a station that is down. What was done there all the same is a fact."""
    if not reading.down(reading.station):
        return None
    is_down = reading.say("{station} is down.", station=reading.station)
    return reading.refused("station-down", one_after_another(is_down, elsewhere(reading, step)), piece, step=step)


def _full(reading: Reading, piece: Piece, step: Step) -> Decision | None:
    """Refused, while the station holds as many pieces as fit: whoever forgot to scan one out is told now."""
    holds = reading.shop.stations[reading.station or ""].holds
    if holds is None or len(codes := [other.code for other in reading.inside()]) < holds:
        return None
    say = reading.say(
        "{station} is full. Scan out {pieces} first.", station=reading.station, pieces=either(reading, codes)
    )
    return reading.refused("station-full", say, piece, step=step)


def _started(reading: Reading, piece: Piece, index: int) -> Decision:
    step = piece.route[index]
    started = reading.say("{step} started at {station}.", step=step.label.capitalize(), station=reading.station)
    opens = reading.say("Opens in {seconds} s.", seconds=ceil(step.min_s)) if step.min_s else ""
    answer = Answer(
        outcome="started",
        say=one_after_another(started, opens, _wet_too_long(reading, piece), *hints(reading, piece, index)),
        piece=piece.code,
        step=step.label,
        next=step.label,
        seconds_left=step.min_s or None,
        settings=step.settings,
    )
    event = StepStarted(piece=piece.code, step=index, read=reading.read(answer))
    facts = (*assumed(reading, piece, index), reading.fact(event), *_ended_since(reading, piece, index))
    return Decision(facts, answer)


def _ended_since(reading: Reading, piece: Piece, index: int) -> Iterator[Fact]:
    """A read that comes late may tell of a press that has gone down since, before the piece had had its time."""
    down = reading.memory.outages.next_down(reading.scan.at)
    if down and (down - reading.scan.at).total_seconds() < piece.route[index].min_s:
        event = StepInterrupted(piece=piece.code, step=index)
        yield replace(reading.fact(event, follows=True), occurred_at=down)


def _wet_too_long(reading: Reading, piece: Piece) -> str:
    """What the one who closes the press should know, for the piece may not last."""
    if piece.step is None or not piece.wet or piece.step.wait_limit_s is None:
        return ""
    wet_s = (reading.scan.at - piece.waiting_since()).total_seconds()
    limit_s = piece.step.wait_limit_s
    if wet_s <= limit_s:
        return ""
    return reading.say("It was wet for {wet}, longer than {limit}.", wet=duration(wet_s), limit=duration(limit_s))


# Out


def _out(reading: Reading, piece: Piece, index: int, began: datetime) -> Decision:
    step = piece.route[index]
    left_s = min(step.min_s - (reading.scan.at - began).total_seconds(), step.min_s)
    if left_s <= 0:
        return done(reading, piece, index)
    say = reading.say("Too early: keep it closed {seconds} s more, then scan again.", seconds=ceil(left_s))
    return reading.refused("too-short", say, piece, step=step, seconds_left=left_s)
