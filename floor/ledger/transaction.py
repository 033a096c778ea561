"""What a transaction does alike in every ledger: take facts on as drafts, then chain and store them together.

Never talks to a database itself: a store fills in the four methods at the end.
"""

from abc import ABC, abstractmethod
from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import datetime

from floor.ledger.errors import Damaged, ReadTwice
from floor.ledger.row import Head, Replayed, Row, draft, microseconds, recorded, replayed, sealed, wrong_with
from shared.events.recorded import Fact, Recorded


class DraftTransaction(ABC):
    """A `Transaction` that stores as late as it can, so that many appends cost few trips to the database."""

    def __init__(self, head: Head) -> None:
        self._head = head
        self._drafts: list[Row] = []
        self._known_reads: dict[str, Replayed | None] = {}
        """Reads that were looked up or appended since the lock was taken: nobody else can have changed them."""

    def head(self) -> int:
        return self._head.seq + len(self._drafts)

    def rows(self, after: int = 0, until: int | None = None) -> Iterator[Recorded]:
        self.store_drafts()
        return self._replay(after, until)

    def by_read_id(self, read_id: str) -> Recorded | None:
        self.look_up([read_id])
        found = self._known_reads[read_id]
        return recorded(found) if found else None

    def look_up(self, read_ids: Collection[str]) -> None:
        unknown = [read_id for read_id in read_ids if read_id not in self._known_reads]
        if unknown:
            self._known_reads |= dict.fromkeys(unknown) | self._find(unknown)

    def append(self, facts: Sequence[Fact], recorded_at: datetime) -> list[Recorded]:
        at_us = microseconds(recorded_at)
        drafts = [draft(fact, seq, at_us) for seq, fact in enumerate(facts, self.head() + 1)]
        parts = [replayed(row) for row in drafts]
        records = [_as_it_will_be_read(part) for part in parts]
        self._refuse_known([fact.read_id for fact in facts if fact.read_id is not None])
        self._drafts += drafts
        self._known_reads |= {
            fact.read_id: part for fact, part in zip(facts, parts, strict=True) if fact.read_id is not None
        }
        return records

    def adopt(self, rows: Sequence[Row]) -> Head:
        self.store_drafts()
        head = self._head
        versions = dict(self._last_versions({row.stream for row in rows}))
        for row in rows:
            if wrong := wrong_with(row, head, versions.get(row.stream, 0)):
                raise Damaged(f"row {head.seq + 1}: {wrong}; restore the newest good backup")
            head = Head(row.seq, row.hash)
            versions[row.stream] = row.version
        if rows:
            self._store(rows)
        self._known_reads.clear()
        self._head = head
        return head

    def _refuse_known(self, read_ids: Sequence[str]) -> None:
        self.look_up(read_ids)
        new: set[str] = set()
        for read_id in read_ids:
            if self._known_reads[read_id] or read_id in new:
                raise ReadTwice(f"read {read_id} is in the ledger already; nothing of it was recorded again")
            new.add(read_id)

    def store_drafts(self) -> None:
        """Give the drafts their versions and hashes, and store them. To be called once more before the commit."""
        if not self._drafts:
            return
        versions = self._last_versions({row.stream for row in self._drafts})
        rows = sealed(self._drafts, versions, self._head.hash)
        self._store(rows)
        self._drafts = []
        self._head = Head(rows[-1].seq, rows[-1].hash)

    @abstractmethod
    def _replay(self, after: int, until: int | None) -> Iterator[Recorded]: ...

    @abstractmethod
    def _find(self, read_ids: Sequence[str]) -> dict[str, Replayed]: ...

    @abstractmethod
    def _last_versions(self, streams: Collection[str]) -> Mapping[str, int]: ...

    @abstractmethod
    def _store(self, rows: Sequence[Row]) -> None: ...


def _as_it_will_be_read(part: Replayed) -> Recorded:
    try:
        return recorded(part)
    except Damaged as error:
        raise ValueError(f"this event could not be read again: {error.__cause__}") from error
