"""What must hold of any ledger, whatever was done to the line from scanner to ledger.

Never asks the program under test what it acknowledged: that is kept by the one who sent the reads.
"""

from collections.abc import Collection, Iterable

from floor.fold import fold_all
from floor.state import Floor, Piece
from shared.events import Recorded


def check(
    acked: set[str],
    unknown: set[str],
    rows: Iterable[Recorded],
    live: Floor | None = None,
    quiet: Collection[str] = (),
) -> None:
    """Every acknowledged read is in the ledger, none twice, none that nobody sent, no hole, and a fresh fold agrees.

    `quiet` are acknowledged reads that the rules answer without an event: repeats within the window.
    """
    ledger = list(rows)
    ids = [row.read_id for row in ledger if row.read_id is not None]
    assert len(ids) == len(set(ids)), "a read is in the ledger twice"
    lost = acked - set(quiet) - set(ids)
    assert not lost, f"acknowledged but lost: {sorted(lost)[:5]}"
    stray = set(ids) - acked - unknown
    assert not stray, f"in the ledger, but nobody sent it: {sorted(stray)[:5]}"
    assert [row.seq for row in ledger] == list(range(1, len(ledger) + 1)), "a hole in the sequence"
    fresh = fold_all(ledger)
    if live is not None:
        assert fresh == live, "the running floor and a fresh fold disagree"
    for piece in fresh.pieces.values():
        check_walk(piece)


def check_walk(piece: Piece) -> None:
    """No piece is finished without the steps that must not be missed; no step is done twice."""
    if piece.finished:
        missed = [
            step.label
            for step, walked in zip(piece.route, piece.walk, strict=True)
            if step.if_missed == "stop" and walked.done is None
        ]
        assert not missed, f"{piece.code} was finished without {missed}"
    for step, walked in zip(piece.route, piece.walk, strict=True):
        if step.kind == "dwell" and walked.done is not None:
            assert walked.started is not None, f"{piece.code} was cured, but never put in a press"
            held_s = (walked.done - walked.started).total_seconds()
            assert held_s >= step.min_s, f"{piece.code} was in the press for {held_s} s only"
    done = [row.event.step for row in piece.facts if type(row.event).__name__ == "StepDone"]  # type: ignore[union-attr]
    assert len(done) == len(set(done)), f"{piece.code} has a step done twice"
