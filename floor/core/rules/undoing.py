"""The undo card: this station's reads are taken back, the last one first.

Never deletes: a correction is a new event that names what it corrects.
"""

from floor.core.rules.reading import Decision, Reading
from floor.core.rules.spoiling import waiting_reason
from floor.core.rules.stopping import interruption
from floor.core.state.piece import Piece
from shared.events.reads import ReasonTakenBack, StepAssumed, StepInterrupted, Undone
from shared.events.recorded import Fact
from shared.scan import Answer

UNDO_S = 120
"""How long after a read it can still be taken back."""


def undo(reading: Reading) -> Decision:
    """The undo card at a station."""
    if reason := waiting_reason(reading):
        return _reason_taken_back(reading, reason)
    reads, said = reading.memory.undoable, reading.memory.outages.last_said(reading.scan.at)
    last = reads[-1] if reads else None
    if said and reading.within(UNDO_S, said[0]) and (last is None or last.at <= said[0]):
        return _nothing(reading, _other_card(reading, down=said[1]))
    if last is None or not (reading.within(UNDO_S, last.at) or reading.within(UNDO_S, last.told)):
        return _nothing(reading, reading.say("Nothing was done here in the last {seconds} s.", seconds=UNDO_S))
    return _taken_back(reading, reading.floor.pieces[last.piece], last.seq)


def _taken_back(reading: Reading, piece: Piece, seq: int) -> Decision:
    """The read of a piece that is a row of the ledger, if nothing rests on it by now."""
    if piece.taken_out == seq:
        say = reading.say("Taken back: {piece} is still in {press}.", piece=piece.code, press=reading.station)
        return _undone(reading, piece, (seq,), say)
    if piece.cancelled and not piece.ended:
        return reading.given_up(piece)
    if piece.spoiled and piece.spoiled.seq == seq and piece.taken_out is None:
        return _undo_spoiling(reading, piece)
    step = _last_step(piece, seq)
    if piece.spoiled or step is None:
        say = reading.say("Piece {piece} has gone on since. Take back the later read first.", piece=piece.code)
        return _nothing(reading, say, piece)
    say = reading.say("Taken back: {piece} is before {step} again.", piece=piece.code, step=piece.route[step].label)
    return _undone(reading, piece, _rows_of_read(piece, seq), say)


def _other_card(reading: Reading, *, down: bool) -> str:
    """What takes back the card that was read last: none brings a dwell back that was broken off."""
    if down:
        return reading.say("{station} is down. Its station up card puts it into use again.", station=reading.station)
    return reading.say("{station} was put into use. Its station down card takes it out again.", station=reading.station)


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
    undone = _undone(reading, piece, (piece.spoiled.seq,), say, remake.code)
    broken_off = _broken_off(reading, piece)
    return Decision((*undone.facts, broken_off), undone.answer) if broken_off else undone


def _broken_off(reading: Reading, piece: Piece) -> Fact | None:
    """Its press may have gone down while it counted as spoiled, and nobody had it pressed anew."""
    if not piece.in_work:
        return None
    walked = piece.walk[piece.position]
    assert walked.started is not None
    return interruption(reading, piece, piece.position, walked.station, walked.started)


def _last_step(piece: Piece, seq: int) -> int | None:
    """The step that a row is about, if no step further on has been begun since."""
    steps = {row.seq: row.event.step for row in piece.facts}  # type: ignore[attr-defined]  # all are step facts
    return steps[seq] if seq in steps and steps[seq] == max(steps.values()) else None


def _rows_of_read(piece: Piece, seq: int) -> tuple[int, ...]:
    """The row of a read, and those that only followed from it: steps that it showed to be passed, or a press's fall."""
    assumed = {row.seq for row in piece.facts if type(row.event) is StepAssumed}
    first = seq
    while first - 1 in assumed:
        first -= 1
    step = next(row.event.step for row in piece.facts if row.seq == seq)  # type: ignore[attr-defined]
    later = (row for row in piece.facts if row.seq > seq and type(row.event) is StepInterrupted)
    return (*range(first, seq + 1), *(row.seq for row in later if row.event.step == step))  # type: ignore[attr-defined]


def _undone(reading: Reading, piece: Piece, rows: tuple[int, ...], say: str, remake: str | None = None) -> Decision:
    answer = Answer(outcome="accepted", say=say, piece=piece.code)
    event = Undone(piece=piece.code, rows=rows, remake=remake, read=reading.read(answer))
    return Decision((reading.fact(event),), answer)


def _nothing(reading: Reading, say: str, piece: Piece | None = None) -> Decision:
    return reading.refused("nothing-to-undo", say, piece)
