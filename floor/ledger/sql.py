"""What a ledger does alike in SQLite and PostgreSQL: SQLAlchemy Core, plain tuples, no ORM.

Never trusts what it remembers about the ledger across transactions: other processes append to it too. That what it
wrote is still there it makes sure of each time.
"""

import threading
import time
from abc import ABC, abstractmethod
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager

from sqlalchemy import Connection, Engine, Select, TableValuedAlias, inspect
from sqlalchemy.exc import DBAPIError

from floor.ledger import migrate, queries
from floor.ledger.errors import Broken, Damaged, LedgerError, Missing, Replaced, Unavailable
from floor.ledger.queries import Fields
from floor.ledger.row import REPLAYED, Head, Row, recorded
from floor.ledger.transaction import DraftTransaction
from shared.events.recorded import Recorded

READ_ID = REPLAYED.index("read_id")


class SqlLedger(ABC):
    """A `Ledger` in an SQL database."""

    driver_errors: tuple[type[Exception], ...] = (DBAPIError,)
    news_poll_s = 0.25
    """How often to look for rows of other processes where the database has no way to call."""

    def __init__(self, writing: Engine, reading: Engine) -> None:
        self._writing = writing
        self._reading = reading
        self._broken: Broken | None = None
        self._place: object = None
        self._last = Head()
        """The newest row that is known to be in the ledger: one without it is not ours."""
        self._news = threading.Condition()
        self._commits = 0
        self.reads = queries.reads(self._texts)
        self.last_versions = queries.last_versions(self._texts)

    def _open(self, *, make: bool) -> None:
        """Bring the tables up to date. Only a new or an old ledger is written to, so that a look needs no lock.

        Raises Missing where there is none, and none is to be made.
        """
        try:
            with self.translated():
                self._upgrade(make=make)
            self._place = self._find_place()
        except BaseException:
            self.close()
            raise

    def _upgrade(self, *, make: bool) -> None:
        with self._reading.connect() as connection:
            begun = inspect(connection).has_table("ledger")  # looked at first: another process may just be making it
            found = migrate.revision(connection)
            if found == migrate.newest:
                return
            if found is None and begun:
                raise Damaged(f"{self.where}: its table alembic_version is missing; restore the newest good backup")
            if found is None and not make:
                raise Missing(f"{self.where}: it holds no ledger")
            self._check_new(connection)
        with self._writing.begin() as connection:
            self._lock(connection)
            migrate.upgrade(connection)

    # Reading: one statement at a time, so it needs no transaction

    def head(self) -> int:
        return self.noted_head().seq

    def noted_head(self) -> Head:
        return queries.noted_head(self._fetch)

    def rows(self, after: int = 0, until: int | None = None) -> Iterator[Recorded]:
        return map(recorded, queries.walk(self._fetch, queries.replay_page, after, until))

    def stored(self, after: int = 0, until: int | None = None) -> Iterator[Row]:
        for size in (queries.page_rows, 1):  # a page with a row that cannot be read is gone through again, row by row
            try:
                for row in queries.walk(self._fetch, queries.whole_page, after, until, size):
                    yield Row._make(row)
                    after = row[0]
                return
            except Damaged as error:
                damage = error
        raise Damaged(f"row {after + 1}: {damage}")

    def by_read_id(self, read_id: str) -> Recorded | None:
        rows = self._fetch(self.reads, {"ids": [read_id]})
        return recorded(rows[0]) if rows else None

    def _fetch(self, query: Select[Fields], values: Mapping[str, object]) -> list[Fields]:
        with self.translated(), self._reading.connect() as connection:
            return queries.fetch(connection, query, values)

    def wait_for_news(self, after: int, timeout_s: float) -> int:
        give_up_at = time.monotonic() + timeout_s
        while True:
            commits = self._commits
            head = self.head()
            left_s = give_up_at - time.monotonic()
            if head > after or left_s <= 0:
                return head
            with self._news:
                if self._commits == commits:
                    self._news.wait(min(left_s, self.news_poll_s))

    # Writing

    @contextmanager
    def transaction(self) -> Iterator["SqlTransaction"]:
        if self._broken:
            raise Broken(str(self._broken))
        place = self._settle()
        with self._learning_from_failure(), self.translated(), self._writing.begin() as connection:
            self._lock(connection)
            transaction = SqlTransaction(self, connection)
            transaction.check_goes_on(self._last)
            yield transaction
            grown = transaction.finish()
            if grown:
                self._announce(connection)
        if self._find_place() != place:
            raise Replaced(f"{self.where}: it was replaced while it was written to; what was written just now is lost")
        self._last = transaction.stored_head
        self._committed()
        if grown:
            with self._news:
                self._commits += 1
                self._news.notify_all()

    def rehearse(self) -> None:
        with self.transaction() as transaction:
            transaction.touch()

    def _settle(self) -> object:
        """Go to the place where the ledger is now, if that changed: it may have been put back. Raises Missing."""
        place = self._find_place()
        if place != self._place or self._lost_its_log():
            self.close()
            self._place = place
        return place

    @contextmanager
    def _learning_from_failure(self) -> Iterator[None]:
        try:
            yield
        except Broken as error:
            self._broken = error
            raise
        except Unavailable:
            self._writing.dispose()  # a file that was opened while its disk was read-only stays so
            raise

    @contextmanager
    def translated(self) -> Iterator[None]:
        """Turns what the database raises into our own errors, as far as a floor can cause it."""
        try:
            yield
        except self.driver_errors as error:
            known = self._explain(getattr(error, "orig", None) or error)
            if known is None:
                raise
            raise known from error

    def trouble(self) -> str | None:
        return None

    def close(self) -> None:
        self._writing.dispose()
        self._reading.dispose()

    @property
    def where(self) -> str:
        """The address of the ledger, without a password."""
        return self._writing.url.render_as_string(hide_password=True)

    @property
    @abstractmethod
    def durability(self) -> str: ...

    def _find_place(self) -> object:
        """Tells one storage from another under the same address. Raises Missing where there is none any more."""
        return None

    def _lost_its_log(self) -> bool:
        """Whether what was committed lies where nobody finds it after a crash, until the ledger is closed."""
        return False

    def _committed(self) -> None:  # noqa: B027 a server keeps its files to itself
        """Remember what the storage looks like after a commit of ours."""

    def _check_new(self, connection: Connection) -> None:  # noqa: B027 most databases suit
        """Raises Unavailable for a database in which no ledger can be kept."""

    @abstractmethod
    def _texts(self, name: str) -> TableValuedAlias: ...

    @abstractmethod
    def insert(self, connection: Connection, rows: Sequence[Row]) -> None:
        """Store rows, in the fastest way that the driver has; the commit is the caller's."""

    @abstractmethod
    def _lock(self, connection: Connection) -> None: ...

    @abstractmethod
    def _announce(self, connection: Connection) -> None: ...

    @abstractmethod
    def _explain(self, error: BaseException) -> LedgerError | None: ...


class SqlTransaction(DraftTransaction):
    """The write lock of an `SqlLedger`."""

    def __init__(self, ledger: SqlLedger, connection: Connection) -> None:
        self._ledger = ledger
        self._connection = connection
        self._failed: Exception | None = None
        self._start = queries.noted_head(self._fetch)
        super().__init__(self._start)

    @property
    def stored_head(self) -> Head:
        """The last row that is stored."""
        return self._head

    def check_goes_on(self, last: Head) -> None:
        """Raises Replaced unless a row that was stored before is in the ledger still."""
        if last in {self._start, Head()}:
            return
        found = self._fetch(queries.hash_of, {"seq": last.seq})
        if found != [(last.hash,)]:
            raise Replaced(
                f"{self._ledger.where}: it has no row {last.seq} of ours: an older copy, or another ledger, was put "
                "in its place; stop the floor, and restore the right one"
            )

    def touch(self) -> None:
        """Write, though nothing changes: what would keep a row from being stored keeps this from it too."""
        with self._sound():
            for step in (1, -1):  # SQLite does not write a page whose content stays the same
                self._connection.execute(queries.shift_head, {"step": step})

    def finish(self) -> bool:
        """Store all that was appended, if anything was, and move the head; the commit is the caller's."""
        self.store_drafts()
        with self._sound():
            if self._head == self._start:
                return False
            self._move_head()
            return True

    def _move_head(self) -> None:
        moved = self._connection.execute(queries.move_head, {"before": self._start.hash, **self._head._asdict()})
        if moved.rowcount != 1:
            raise Damaged("the ledger was changed by something that does not hold its write lock")

    @contextmanager
    def _sound(self) -> Iterator[None]:
        """After one failed statement no other may run, and nothing may be committed.

        The database may have rolled back by itself: SQLite would then store what follows outside of any
        transaction, and PostgreSQL answers a commit with a silent rollback.
        """
        if self._failed:
            raise self._failed
        try:
            with self._ledger.translated():
                yield
        except Exception as error:
            self._failed = error
            raise

    def _fetch(self, query: Select[Fields], values: Mapping[str, object]) -> list[Fields]:
        with self._sound():
            return queries.fetch(self._connection, query, values)

    def _replay(self, after: int, until: int | None) -> Iterator[Recorded]:
        return map(recorded, queries.walk(self._fetch, queries.replay_page, after, until))

    def _find(self, read_ids: Sequence[str]) -> dict[str, Fields]:
        return {row[READ_ID]: row for row in self._fetch(self._ledger.reads, {"ids": read_ids})}

    def _last_versions(self, streams: Collection[str]) -> Mapping[str, int]:
        found = self._fetch(self._ledger.last_versions, {"streams": sorted(streams)})
        return {stream: version for stream, version in found if version is not None}

    def _store(self, rows: Sequence[Row]) -> None:
        with self._sound():
            self._ledger.insert(self._connection, rows)
