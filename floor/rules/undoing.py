"""The undo card: this station's last read is taken back.

Never deletes: a correction is a new event that names what it corrects.
"""

from floor.rules.reading import Decision, Reading
from floor.rules.spoiling import waiting_reason
from floor.state import Piece
from shared.events import ReasonTakenBack, StepAssumed, Undone
from shared.scan import Answer

UNDO_S = 120
"""How long after a read it can still be taken back."""


def undo(reading: Reading) -> Decision:
    """The undo card at a station."""
    if reason := waiting_reason(reading):
        return _reason_taken_back(reading, reason)
    last, down = reading.memory.undoable, reading.memory.outages.down_at(reading.scan.at)
    if down and reading.within(UNDO_S, down) and (last is None or last[1] <= down):
        say = reading.say("{station} is down. Its station up card takes that back.", station=reading.station)
        return _nothing(reading, say)
    if last is None or not reading.within(UNDO_S, last[1]):
        return _nothing(reading, reading.say("Nothing was done here in the last {seconds} s.", seconds=UNDO_S))
    code, _, seq = last
    piece = reading.floor.pieces[code]
    if piece.spoiled and piece.spoiled.seq == seq:
        return _undo_spoiling(reading, piece)
    step = _last_step(piece, seq)
    if piece.spoiled or step is None:
        say = reading.say("Piece {piece} has gone on since. Take back the later read first.", piece=code)
        return _nothing(reading, say, piece)
    say = reading.say("Taken back: {piece} is before {step} again.", piece=code, step=piece.route[step].label)
    return _undone(reading, piece, _rows_of_read(piece, seq), say)


def _reason_taken_back(reading: Reading, reason: str) -> Decision:
    say = reading.say("Taken back: {reason}. No piece is spoiled.", reason=reason)
    answer = Answer(outcome="accepted", say=say)
    event = ReasonTakenBack(at_station=reading.station or "", read=reading.read(answer))
    return Decision((reading.fact(event),), answer)


def _undo_spoiling(reading: Reading, piece: Piece) -> Decision:
    assert piece.spoiled is not None
    remake = reading.floor.pieces[piece.remake or ""]
    if remake.facts or remake.spoiled:
        say = reading.say("Its remake {remake} is under way. Spoil that one instead.", remake=remake.code)
        return _nothing(reading, say, piece)
    say = reading.say(
        "Taken back: {piece} is not spoiled. Destroy the ticket {remake}.", piece=piece.code, remake=remake.code
    )
    return _undone(reading, piece, (piece.spoiled.seq,), say, remake.code)


def _last_step(piece: Piece, seq: int) -> int | None:
    """The step that a row is about, if no step further on has been begun since."""
    steps = {row.seq: row.event.step for row in piece.facts}  # type: ignore[union-attr]  # all are step facts
    return steps[seq] if seq in steps and steps[seq] == max(steps.values()) else None


def _rows_of_read(piece: Piece, seq: int) -> tuple[int, ...]:
    """The row of a read, and those before it that only followed from it: the steps that it showed to be passed."""
    assumed = {row.seq for row in piece.facts if type(row.event) is StepAssumed}
    first = seq
    while first - 1 in assumed:
        first -= 1
    return tuple(range(first, seq + 1))


def _undone(reading: Reading, piece: Piece, rows: tuple[int, ...], say: str, remake: str | None = None) -> Decision:
    answer = Answer(outcome="accepted", say=say, piece=piece.code)
    event = Undone(piece=piece.code, rows=rows, remake=remake, read=reading.read(answer))
    return Decision((reading.fact(event),), answer)


def _nothing(reading: Reading, say: str, piece: Piece | None = None) -> Decision:
    return reading.refused("nothing-to-undo", say, piece)
