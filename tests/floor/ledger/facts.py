"""Facts and a tiny state, for tests of the ledger.

Never stands for the floor's rules: what is decided here is decided to be recorded.
"""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from floor.ledger import Ledger, Lookup
from floor.ledger.writer import Work
from shared.events.reads import Read, StepAssumed, StepDone
from shared.events.recorded import Fact, Recorded
from shared.scan import Answer

noon = datetime(2026, 11, 25, 12, 0, 0, 123457, tzinfo=UTC)
answer = Answer(
    outcome="accepted",
    say="Colour printed. Next: cure at a press.",
    piece="1000000137",
    step="colour",
    next="cure",
    settings={"temperature_c": "165", "cover": "parchment"},
)


def a_read(read_id: str, piece: str = "1000000137", text: str = "1000000137") -> Fact:
    """A step that was done, as a scanner told it."""
    return Fact(
        event=StepDone(piece=piece, step=3, event="colour printed", read=Read(text=text, answer=answer)),
        occurred_at=noon - timedelta(seconds=2),
        station="printer 1",
        badge="A",
        device="colour gun",
        read_id=read_id,
    )


def assumed(step: int = 0, piece: str = "1000000137") -> Fact:
    """A fact without a read."""
    return Fact(event=StepAssumed(piece=piece, step=step, event="pretreated"), occurred_at=noon)


def append(ledger: Ledger, *facts: Fact) -> list[Recorded]:
    """Append in a transaction of its own."""
    with ledger.transaction() as transaction:
        return transaction.append(facts, noon)


def once(read_id: str) -> Work[str]:
    """The work of a read that may be delivered again: recorded the first time, "again" after that."""

    def decide(known: Lookup) -> tuple[list[Fact], str]:
        if known.by_read_id(read_id):
            return [], "again"
        return [a_read(read_id)], "recorded"

    return decide


class Tally:
    """A state: the read ids and numbers that were folded, in order."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.rows: list[int] = []
        self.reads: list[str | None] = []

    def fold(self, rows: Iterable[Recorded]) -> None:
        """Take rows in."""
        for row in rows:
            self.rows.append(row.seq)
            self.reads.append(row.read_id)

    def rebuild(self) -> int:
        """Start from nothing."""
        self.rows.clear()
        self.reads.clear()
        self.fold(self.ledger.rows())
        return self.rows[-1] if self.rows else 0
