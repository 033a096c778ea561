"""What must hold of any ledger, whatever was done to the line from scanner to ledger.

Never asks the program under test what it acknowledged: that is kept by the one who sent the reads.
"""

from collections.abc import Collection, Iterable

from floor.core.folds.fold import fold_all
from floor.core.folds.invariants import wrongs
from floor.core.state.floor import Floor
from shared.events.recorded import Recorded


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
    wrong = wrongs(ledger)
    assert not wrong, f"cannot be: {wrong[0].line()}"
