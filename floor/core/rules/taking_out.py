"""A piece that was spoiled or given up in a closed press: it is taken out, and the press is free again.

Never makes anything of the piece but that it is out.
"""

from floor.core.rules.reading import Decision, Reading
from floor.core.rules.steps import one_after_another
from floor.core.state.piece import Piece
from shared.events.reads import TakenOut
from shared.scan import Answer


def still_in(reading: Reading, piece: Piece) -> str:
    """What is to be done about a piece that this read spoils in a closed press; nothing about any other."""
    if piece.press is None or piece.comes_out(reading.station, reading.scan.at):
        return ""
    return reading.say("It is still in {press}: take it out, and scan it there.", press=piece.press)


def taken_out(reading: Reading, piece: Piece, barred: Decision) -> Decision | None:
    """Accepted at the press in which it lies, in place of the refusal that it would get anywhere else.

    A press that the shop file no longer has is no station to scan it at: then any that does the step will do.
    """
    press, step = piece.press, piece.step
    if piece.code not in reading.floor.lying or step is None or not reading.shop.does(reading.station or "", step.key):
        return None
    if press != reading.station and reading.shop.does(press or "", step.key):
        return None
    out = reading.say("Taken out of {press}.", press=press)
    answer = Answer(outcome="accepted", say=one_after_another(out, barred.answer.say), piece=piece.code)
    event = TakenOut(piece=piece.code, read=reading.read(answer))
    return Decision((reading.fact(event),), answer)
