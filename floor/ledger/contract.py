"""What every ledger promises, whatever it is stored in.

Never imports a database: the floor and its tests rest on this alone.
"""

from collections.abc import Collection, Iterator, Sequence
from contextlib import AbstractContextManager
from datetime import datetime
from typing import Protocol

from floor.ledger.row import Head, Row
from shared.events.recorded import Fact, Recorded


class Lookup(Protocol):
    """What is in a ledger, as far as the one who asks may see."""

    def head(self) -> int:
        """The number of the last row, 0 while there is none."""

    def rows(self, after: int = 0, until: int | None = None) -> Iterator[Recorded]:
        """The events after row `after`, up to and with row `until`, in the order of the ledger.

        Without `until`, what is appended meanwhile may follow. No lock is held between one row and the next.
        Raises Damaged at the first row that is no event, TooNew at one from a newer program.
        """

    def by_read_id(self, read_id: str) -> Recorded | None:
        """The row of a read, or None when it has not been recorded yet."""


class Transaction(Lookup, Protocol):
    """The write lock of a ledger: nobody else appends while it is held. It sees its own rows too."""

    def look_up(self, read_ids: Collection[str]) -> None:
        """Look for many reads at once, so that neither `by_read_id` nor `append` need ask for each of them."""

    def append(self, facts: Sequence[Fact], recorded_at: datetime) -> list[Recorded]:
        """Facts as the next rows: all of them or, with an error, none. Durable when the transaction has ended.

        What comes back was read from the stored form, so that it equals what any later replay will see.
        Raises ReadTwice for a read id that is in the ledger, ValueError for a fact that cannot be stored.
        """

    def adopt(self, rows: Sequence[Row]) -> Head:
        """Rows of another ledger as the next ones here, as they are stored, hash included; the new head.

        Raises Damaged, by number, for a row that does not continue the chain: a copy is only made of what is whole.
        """


class Ledger(Lookup, Protocol):
    """An append-only record, safe to use from several threads and, but for the one in memory, processes.

    Any method may raise Unavailable, Broken or Damaged.
    """

    @property
    def durability(self) -> str:
        """How a commit is made to last, in a line for people."""

    def transaction(self) -> AbstractContextManager[Transaction]:
        """The write lock. All that is appended is committed together at the end or, with an error, not at all."""

    def rehearse(self) -> None:
        """Take the write lock, write what is there already, and commit: fails as storing a row would, adds none."""

    def stored(self, after: int = 0, until: int | None = None) -> Iterator[Row]:
        """As `rows`, but as they are stored. Raises Damaged, by number, at a row that cannot be read."""

    def noted_head(self) -> Head:
        """Number and hash of the last row, as they were noted apart from the row itself."""

    def wait_for_news(self, after: int, timeout_s: float) -> int:
        """Wait until there is a row after `after`, or for `timeout_s`; the number of the last row then."""

    def trouble(self) -> str | None:
        """What the database itself finds wrong with its storage, in one line, or None."""

    def close(self) -> None:
        """Let go of files and connections."""
