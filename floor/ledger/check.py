"""Verify a ledger: every hash, number, version and body, and name the first row that is wrong.

Never repairs: what is damaged is restored from a backup.
"""

from collections.abc import Callable, Iterator

from floor.ledger.contract import Ledger
from floor.ledger.errors import Damaged, TooNew
from floor.ledger.row import Head, recorded, replayed, wrong_with
from shared.events.recorded import Recorded

remedy = "restore the newest good backup"
OnPage = Callable[[int], None]
"""Told the number of a row each so many rows of long work; what it raises ends the work."""
page_rows = 1_000


def go_on(_seq: int) -> None:
    """Nobody wants to know how far the work is."""


def first_trouble(ledger: Ledger) -> str | None:
    """The first thing that is wrong with a ledger and what to do about it, in one line, or None."""
    try:
        verify(ledger)
    except (Damaged, TooNew) as error:
        return str(error)
    return None


def verify(ledger: Ledger, on_page: OnPage = go_on) -> None:
    """Go through a whole ledger. Raises Damaged at the first thing that is wrong, TooNew as `rows` does."""
    for row in verified(ledger):
        if row.seq % page_rows == 0:
            on_page(row.seq)
    if trouble := ledger.trouble():
        raise Damaged(trouble)


def verified(ledger: Ledger) -> Iterator[Recorded]:
    """The events of a ledger from its first row on, each checked before it is handed out.

    Raises Damaged, with the number of the row, at the first one that is wrong; TooNew as `rows` does.
    """
    noted = ledger.noted_head()
    last = Head()
    versions: dict[str, int] = {}
    for row in ledger.stored():
        wrong = wrong_with(row, last, versions.get(row.stream, 0))
        if wrong:
            raise Damaged(f"row {last.seq + 1}: {wrong}; {remedy}")
        yield recorded(replayed(row))
        last = Head(row.seq, row.hash)
        versions[row.stream] = row.version
        if last.seq == noted.seq and last != noted:
            raise Damaged(f"row {last.seq}: it is not the row that was written last; {remedy}")
    _check_end(last, noted, ledger.noted_head())


def _check_end(last: Head, noted_before: Head, noted_after: Head) -> None:
    """Others may append while we read: the last row lies between the heads noted before and after."""
    if last.seq < noted_before.seq:
        raise Damaged(f"row {last.seq + 1}: it and all up to row {noted_before.seq} are missing; {remedy}")
    if noted_after.seq < last.seq:
        raise Damaged(f"row {noted_after.seq + 1}: the head of the ledger does not know of it; {remedy}")
