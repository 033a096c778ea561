"""A ledger that lives in memory: for tests, and for playing what might be.

Never outlives its process.
"""

import threading
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager

from floor.ledger.row import Head, Replayed, Row, recorded, replayed
from floor.ledger.transaction import DraftTransaction
from shared.events.recorded import Recorded


class MemoryLedger:
    """A `Ledger` for the threads of one process."""

    durability = "in memory: gone when the program ends"

    def __init__(self) -> None:
        self._rows: list[Row] = []
        self._reads: dict[str, Row] = {}
        self._versions: dict[str, int] = {}
        self._write_lock = threading.Lock()
        self._news = threading.Condition()

    def head(self) -> int:
        return len(self._rows)

    def noted_head(self) -> Head:
        return Head(self._rows[-1].seq, self._rows[-1].hash) if self._rows else Head()

    def stored(self, after: int = 0, until: int | None = None) -> Iterator[Row]:
        return iter(self._rows[after:until])

    def rows(self, after: int = 0, until: int | None = None) -> Iterator[Recorded]:
        return (recorded(replayed(row)) for row in self._rows[after:until])

    def by_read_id(self, read_id: str) -> Recorded | None:
        row = self.stored_read(read_id)
        return recorded(replayed(row)) if row else None

    def stored_read(self, read_id: str) -> Row | None:
        """As `by_read_id`, but as it is stored."""
        return self._reads.get(read_id)

    @contextmanager
    def transaction(self) -> Iterator["MemoryTransaction"]:
        with self._write_lock:
            transaction = MemoryTransaction(self, self.noted_head())
            yield transaction
            transaction.store_drafts()
            self._commit(transaction.new_rows)

    def rehearse(self) -> None:
        with self.transaction():
            pass

    def _commit(self, rows: Sequence[Row]) -> None:
        self._reads |= {row.read_id: row for row in rows if row.read_id is not None}
        self._versions |= {row.stream: row.version for row in rows}
        with self._news:
            self._rows += rows
            self._news.notify_all()

    def last_version(self, stream: str) -> int:
        """How many rows a stream has."""
        return self._versions.get(stream, 0)

    def wait_for_news(self, after: int, timeout_s: float) -> int:
        with self._news:
            self._news.wait_for(lambda: self.head() > after, timeout_s)
            return self.head()

    def trouble(self) -> str | None:
        return None

    def close(self) -> None:
        pass


class MemoryTransaction(DraftTransaction):
    """The write lock of a `MemoryLedger`."""

    def __init__(self, ledger: MemoryLedger, head: Head) -> None:
        super().__init__(head)
        self._ledger = ledger
        self.new_rows: list[Row] = []

    def _replay(self, after: int, until: int | None) -> Iterator[Recorded]:
        everything = [*self._ledger.stored(), *self.new_rows]
        return (recorded(replayed(row)) for row in everything[after:until])

    def _find(self, read_ids: Sequence[str]) -> dict[str, Replayed]:
        new = {row.read_id: row for row in self.new_rows if row.read_id in read_ids}
        found = {read_id: new.get(read_id) or self._ledger.stored_read(read_id) for read_id in read_ids}
        return {read_id: replayed(row) for read_id, row in found.items() if row}

    def _last_versions(self, streams: Collection[str]) -> Mapping[str, int]:
        new = {row.stream: row.version for row in self.new_rows}
        return {stream: new.get(stream) or self._ledger.last_version(stream) for stream in streams}

    def _store(self, rows: Sequence[Row]) -> None:
        self.new_rows += rows
