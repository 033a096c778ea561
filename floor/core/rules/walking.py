"""A piece at a station: may the step be done, and what comes next.

Never spoils a piece and never takes anything back: that is floor.core.rules.spoiling and floor.core.rules.undoing.
"""

from datetime import datetime

from floor.core.rules.in_out import in_or_out
from floor.core.rules.reading import Decision, Reading
from floor.core.rules.steps import done, one_after_another, where_next
from floor.core.rules.taking_out import taken_out
from floor.core.state.piece import Piece
from shared.events.reads import Contradicted
from shared.route import Step
from shared.scan import Answer


def walk(reading: Reading, piece: Piece) -> Decision:
    """What a piece's code at a station leads to, when no reason card waits for it."""
    if barred := _barred(reading, piece):
        return taken_out(reading, piece, barred) or barred
    index = _step_here(reading, piece)
    if index is None:
        return _nothing_to_do_here(reading, piece)
    if mistold := _mistold(reading, piece, index):
        return mistold
    if index < piece.position:
        return _told_late(reading, piece, index)
    if missed := _missed(reading, piece, index):
        return missed
    return done(reading, piece, index) if piece.route[index].scans == "out" else in_or_out(reading, piece, index)


def _barred(reading: Reading, piece: Piece) -> Decision | None:
    """Refused, when nothing more is to be done to the piece. A late read from before that is a fact like any other.

    A hold stops what has not been begun: wet ink is still cured, and a press is still opened.
    """

    def since(moment: datetime | None) -> bool:
        return moment is not None and reading.scan.at >= moment

    if since(piece.spoiled.at if piece.spoiled else None):
        say = reading.say("This piece was spoiled. Its remake is {remake}.", remake=piece.remake)
        return reading.refused("spoiled", say, piece)
    if since(piece.cancelled):
        return reading.given_up(piece)
    if since(piece.latest if piece.finished else None):
        return reading.refused("finished", reading.say("This piece is finished."), piece)
    if since(reading.floor.jobs[piece.job].held_since) and not (piece.wet or piece.in_work):
        return reading.held(piece)
    return None


def _step_here(reading: Reading, piece: Piece) -> int | None:
    """The first step that is done at this station and that was not behind the piece at the moment of the read."""
    for n, (step, walked) in enumerate(zip(piece.route, piece.walk, strict=True)):
        over = walked.done or walked.passed
        behind = over is not None and over <= reading.scan.at
        if not behind and reading.shop.does(reading.station or "", step.key):
            return n
    return None


def _nothing_to_do_here(reading: Reading, piece: Piece) -> Decision:
    behind = [step for step in piece.route if reading.shop.does(reading.station or "", step.key)]
    if behind:
        return _already(reading, piece, behind[-1])
    say = one_after_another(reading.say("Not here."), where_next(reading, piece.step))
    return reading.refused("wrong-station", say, piece)


def _told_late(reading: Reading, piece: Piece, index: int) -> Decision:
    """A late read may tell when an assumed step really was done, or contradict what is recorded."""
    walked = piece.walk[index]
    if walked.assumed:
        return done(reading, piece, index)
    if walked.station != reading.station:
        return _contradicted(reading, piece, index)
    return _already(reading, piece, piece.route[index])


def _already(reading: Reading, piece: Piece, step: Step) -> Decision:
    already = reading.say("{event} already.", event=step.event.capitalize())
    say = one_after_another(already, where_next(reading, piece.step))
    return reading.refused("wrong-station", say, piece)


def _contradicted(reading: Reading, piece: Piece, index: int) -> Decision:
    step, walked = piece.route[index], piece.walk[index]
    answer = Answer(
        outcome="refused",
        reason="wrong-station",
        say=reading.say(
            "{event} is recorded at {station} too. Both are kept for a person to settle.",
            event=step.event.capitalize(),
            station=walked.station,
        ),
        piece=piece.code,
        step=step.label,
    )
    event = Contradicted(piece=piece.code, step=index, read=reading.read(answer))
    return Decision((reading.fact(event),), answer)


def _missed(reading: Reading, piece: Piece, index: int) -> Decision | None:
    """Refused, when a step on the way here must not be missed."""
    for n in range(piece.position, index):
        step = piece.route[n]
        if step.if_missed == "stop":
            return _stopped(reading, piece, step, n)
    return None


def _mistold(reading: Reading, piece: Piece, index: int) -> Decision | None:
    """Refused, when a person wrote down a moment at which the steps before had not been done yet."""
    if not reading.scan.typed:
        return None
    for step, walked in zip(piece.route[:index], piece.walk, strict=False):
        if walked.done and walked.done > reading.scan.at:
            later = "{event} is recorded later, at {moment}. Correct the moment."
            say = reading.say(later, event=step.event.capitalize(), moment=reading.shown(walked.done))
            return reading.refused("out-of-order", say, piece, step=piece.route[index])
    return None


def _stopped(reading: Reading, piece: Piece, step: Step, index: int) -> Decision:
    walked = piece.walk[index]
    if walked.started is not None:
        still = "Still in {station}: {step} was started and is not finished. Scan it out there."
        say = reading.say(still, station=walked.station, step=step.label)
    else:
        missing = reading.say("{step} is missing.", step=step.label.capitalize())
        say = one_after_another(missing, where_next(reading, step))
    return reading.refused("missed-step", say, piece, step=step)
