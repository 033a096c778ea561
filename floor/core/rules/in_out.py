"""A step that is scanned when it begins and when it ends, such as a cure in a press: may it begin here, may it end.

Never decides which step it is: that is floor.core.rules.walking.
"""

from collections.abc import Iterator
from datetime import datetime
from math import ceil

from floor.core.rules.reading import Decision, Reading
from floor.core.rules.steps import assumed, done, either, elsewhere, hints, one_after_another
from floor.core.rules.stopping import interruption, press_anew
from floor.core.state.piece import Piece
from shared.events.reads import StepInterrupted, StepStarted
from shared.route import Step
from shared.scan import Answer
from shared.wording import duration


def in_or_out(reading: Reading, piece: Piece, index: int) -> Decision:
    """What a piece's code leads to where its step is scanned twice."""
    walked = piece.walk[index]
    if _overtaken(reading, piece, index):
        return reading.refused("station-down", press_anew(reading, [piece]), piece, step=piece.route[index])
    if walked.started is None or not reading.shop.does(walked.station or "", piece.route[index].key):
        return _in(reading, piece, index)
    if walked.station == reading.station:
        return _out(reading, piece, index, walked.started)
    say = reading.say("This piece is in {station}. Scan it out there.", station=walked.station)
    return reading.refused("wrong-station", say, piece, step=piece.route[index])


def _overtaken(reading: Reading, piece: Piece, index: int) -> bool:
    """Whether the read comes late, of a time in a press that is known by now to have gone down before it was over."""
    return any(
        type(row.event) is StepInterrupted and row.event.step == index and row.occurred_at >= reading.scan.at
        for row in piece.facts
    )


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
    if (
        holds is None
        or len(codes := [each.code for each, began in reading.inside() if began <= reading.scan.at]) < holds
    ):
        return None
    say = reading.say(
        "{station} is full. Scan out {pieces} first.", station=reading.station, pieces=either(reading, codes)
    )
    return reading.refused("station-full", say, piece, step=step)


def _started(reading: Reading, piece: Piece, index: int) -> Decision:
    step = piece.route[index]
    interrupted = interruption(reading, piece, index, reading.station, reading.scan.at)  # known, if this comes late
    started = reading.say("{step} started at {station}.", step=step.label.capitalize(), station=reading.station)
    opens = press_anew(reading, [piece]) if interrupted else _opens(reading, step)
    notes = [*_anew(reading, piece, index), *_wet_too_long(reading, piece), *hints(reading, piece, index)]
    answer = Answer(
        outcome="started",
        say=one_after_another(started, opens, *notes),
        look=bool(interrupted or notes),
        piece=piece.code,
        step=step.label,
        next=step.label,
        seconds_left=None if interrupted else step.min_s or None,
        settings=step.settings,
    )
    event = StepStarted(piece=piece.code, step=index, read=reading.read(answer))
    facts = (*assumed(reading, piece, index), reading.fact(event))
    return Decision((*facts, interrupted) if interrupted else facts, answer)


def _anew(reading: Reading, piece: Piece, index: int) -> Iterator[str]:
    """What was begun where the shop file no longer has it done is begun anew: nobody can say how it ended there."""
    walked = piece.walk[index]
    if walked.started is not None:
        yield reading.say("It was in {station}, where this is no longer done: it is done anew.", station=walked.station)


def _opens(reading: Reading, step: Step) -> str:
    return reading.say("Opens in {seconds} s.", seconds=ceil(step.min_s)) if step.min_s else ""


def _wet_too_long(reading: Reading, piece: Piece) -> Iterator[str]:
    """What the one who closes the press should know, for the piece may not last."""
    if piece.step is None or not piece.wet or piece.step.wait_limit_s is None:
        return
    wet_s = (reading.scan.at - piece.waiting_since()).total_seconds()
    limit_s = piece.step.wait_limit_s
    if wet_s > limit_s:
        yield reading.say("It was wet for {wet}, longer than {limit}.", wet=duration(wet_s), limit=duration(limit_s))


# Out


def _out(reading: Reading, piece: Piece, index: int, began: datetime) -> Decision:
    step = piece.route[index]
    held_s = (reading.scan.at - began).total_seconds()
    left_s = step.min_s - held_s
    if left_s <= 0 and reading.scan.at >= began:
        return done(reading, piece, index, step.over_time_s(held_s))
    left_s = min(left_s, step.min_s)
    say = reading.say("Too early: keep it closed {seconds} s more, then scan again.", seconds=ceil(left_s))
    return reading.refused("too-short", say, piece, step=step, seconds_left=left_s)
