"""Anchors: a row's number and hash, kept where whoever can write the ledger's file cannot.

Never says that a ledger is whole: without an anchor, a chain that was cut off or made anew looks like any other.
"""

import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from floor.ledger.check import remedy
from floor.ledger.contract import Ledger
from floor.ledger.errors import Damaged
from floor.ledger.row import Head
from shared.events.floor import WeekReported
from shared.events.recorded import Recorded

DIGITS = 16
"""So many of a hash are kept: 64 bits are not met by chance, and can be typed."""


class Anchor(NamedTuple):
    """A row that is known to have been in a ledger: its number, and its hash or the beginning of it."""

    seq: int
    hash: str
    kept_in: str

    def __str__(self) -> str:
        """As it is written; an empty ledger has nothing to write."""
        return f"{self.seq}:{self.hash[:DIGITS]}" if self.seq else ""

    def check(self, ledger: Ledger) -> None:
        """Raises Damaged unless the ledger has that row still."""
        if self.seq == 0:
            return
        rows = list(ledger.stored(after=self.seq - 1, until=self.seq))
        if not rows or rows[0].seq != self.seq:
            raise Damaged(f"row {self.seq}: it is missing, and {self.kept_in} has it; {remedy}")
        if not rows[0].hash.startswith(self.hash):
            raise Damaged(f"row {self.seq}: it is another one than {self.kept_in} has; {remedy}")


def anchor_of(head: Head, kept_in: str = "") -> Anchor:
    """The anchor that a ledger's head is; to be written down, it need not say where it is kept."""
    return Anchor(head.seq, head.hash, kept_in)


def noted(rows: Iterable[Recorded], anchors: list[Anchor]) -> Iterator[Recorded]:
    """The rows as they come, while the heads that the weeks' reports among them noted are gathered. Raises Damaged."""
    for row in rows:
        if isinstance(row.event, WeekReported) and row.event.anchor:
            anchors.append(_of_report(row.seq, row.event))
        yield row


def _of_report(seq: int, event: WeekReported) -> Anchor:
    try:
        return parsed(event.anchor)._replace(kept_in=f"the report of week {event.week}")
    except ValueError as error:
        raise Damaged(f"row {seq}: {error}; {remedy}") from None


def parsed(text: str) -> Anchor:
    """An anchor as it is written: "1234:0123456789abcdef". Raises ValueError."""
    written = re.fullmatch(rf"\s*([1-9]\d{{0,17}}):([0-9a-f]{{{DIGITS},64}})\s*", text.lower())
    if written is None:
        raise ValueError(f"{text!r} is no anchor: write the row's number, a colon, and {DIGITS} digits of its hash")
    return Anchor(int(written[1]), written[2], f"the anchor {text.strip()}")
