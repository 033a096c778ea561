"""The ledger in an SQLite file: one writer at a time, and readers that never hold it up for long.

Never uses a journal that its build of SQLite cannot keep safe.
"""

import sqlite3
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from sqlalchemy import JSON, Connection, TableValuedAlias, bindparam, create_engine, event, func
from sqlalchemy.engine import make_url
from sqlalchemy.pool import ConnectionPoolEntry

from floor.ledger.check import first_trouble
from floor.ledger.errors import Broken, Damaged, LedgerError, Missing, Unavailable
from floor.ledger.row import Row
from floor.ledger.sql import SqlLedger

Build = tuple[int, ...]

_folder = "see that the folder exists and may be written to"
_remedies: dict[int, tuple[type[LedgerError], str]] = {
    sqlite3.SQLITE_BUSY: (Unavailable, "another program is writing to it, try again"),
    sqlite3.SQLITE_LOCKED: (Unavailable, "another program is writing to it, try again"),
    sqlite3.SQLITE_FULL: (Unavailable, "make room on the disk"),
    sqlite3.SQLITE_CANTOPEN: (Unavailable, _folder),
    sqlite3.SQLITE_PERM: (Unavailable, _folder),
    sqlite3.SQLITE_READONLY: (Unavailable, _folder),
    # The system may have dropped what it could not write: after a failed sync, memory is not to be trusted.
    sqlite3.SQLITE_IOERR: (Broken, "nothing more is written until it is opened anew: check the disk"),
    sqlite3.SQLITE_CORRUPT: (Damaged, "restore the newest good backup"),
    sqlite3.SQLITE_NOTADB: (Damaged, "restore the newest good backup"),
}

_insert = f"INSERT INTO ledger ({', '.join(Row._fields)}) VALUES ({', '.join('?' * len(Row._fields))})"


class Journal(NamedTuple):
    """How SQLite makes a commit last."""

    mode: str
    synchronous: str
    why: str


def journal_for(build: Build) -> Journal:
    """The fastest journal that loses nothing to a power cut with a build of SQLite.

    Builds since 3.7.0 can lose a commit to a race between a writer and a checkpoint in WAL mode, until it was
    mended (sqlite.org/wal.html). With a rollback journal only EXTRA also syncs the folder after the journal's
    removal, without which a power cut can bring the journal back and undo the commit
    (sqlite.org/pragma.html#pragma_synchronous).
    """
    mended = build >= (3, 51, 3) or (3, 50, 7) <= build < (3, 51) or (3, 44, 6) <= build < (3, 45)
    name = ".".join(map(str, build))
    if mended:
        return Journal("wal", "FULL", f"every commit is safe with SQLite {name}")
    return Journal(
        "delete", "EXTRA", f"every commit is safe with SQLite {name}; with the faster WAL it is from 3.51.3 on"
    )


class SqliteLedger(SqlLedger):
    """A `Ledger` in one file. `url` is as SQLAlchemy takes it, "sqlite:////shop/ledger.db".

    Another process that holds the lock is waited for `busy_timeout_s`, then the ledger is Unavailable.
    A file that is not there is only made when it is opened first, and with `make`: one that went missing later must
    not come back empty.
    """

    driver_errors = (*SqlLedger.driver_errors, sqlite3.Error)

    def __init__(
        self,
        url: str,
        busy_timeout_s: float = 5,
        build: Build = sqlite3.sqlite_version_info,
        *,
        make: bool = True,
    ) -> None:
        self._file = Path(make_url(url).database or "").resolve()
        self._mode = "rwc" if make else "rw"
        self._busy_timeout_s = busy_timeout_s
        self._written_at: int | None = None
        """When the file was written to last, as far as we know; not known at first."""
        self._log: int | None = None
        """The number of the file of the write-ahead log, since it was written to."""
        super().__init__(create_engine(url, creator=self._connect), create_engine(url, creator=self._connect))
        self.journal = journal_for(build)
        event.listen(self._writing, "connect", self._prepare_writer)
        event.listen(self._writing, "begin", _begin_with_the_lock)
        event.listen(self._reading, "connect", _prepare_reader)
        if not make:
            self._find_place()
        self._open(make=make)
        self._mode = "rw"

    @property
    def durability(self) -> str:
        return f"SQLite, {self.journal.mode.upper()} + {self.journal.synchronous}: {self.journal.why}"

    def trouble(self) -> str | None:
        try:
            with self.translated(), self._reading.connect() as connection:
                found = str(connection.exec_driver_sql("PRAGMA quick_check(1)").scalar())
        except Damaged as error:
            return str(error)
        return None if found == "ok" else found

    def _connect(self) -> sqlite3.Connection:
        return sqlite3.connect(
            f"{self._file.as_uri()}?mode={self._mode}",
            uri=True,
            timeout=self._busy_timeout_s,
            isolation_level=None,  # we say BEGIN ourselves
            check_same_thread=False,  # a connection goes from thread to thread, though to one at a time
        )

    def _find_place(self) -> tuple[int, int]:
        """The disk and the number of the file: a deleted one can be written to for as long as it is open."""
        try:
            status = self._file.stat()
        except (FileNotFoundError, NotADirectoryError):
            raise Missing(f"{self._file}: there is no such file") from None
        except OSError as error:
            raise Unavailable(f"{self._file}: {error.strerror}; {_folder}") from None
        return status.st_dev, status.st_ino

    def _prepare_writer(self, connection: sqlite3.Connection, _entry: ConnectionPoolEntry) -> None:
        with self.translated():
            self.journal = self._with_journal(connection)
            connection.execute(f"PRAGMA synchronous = {self.journal.synchronous}")
            connection.execute("PRAGMA fullfsync = ON")  # else macOS leaves a commit in the disk's own cache
            connection.execute("PRAGMA foreign_keys = ON")

    def _with_journal(self, connection: sqlite3.Connection) -> Journal:
        wanted = self.journal
        if connection.execute("PRAGMA journal_mode").fetchone()[0] != wanted.mode:
            self._reading.dispose()  # the mode can only change while nobody else has the file open
        mode = connection.execute(f"PRAGMA journal_mode = {wanted.mode}").fetchone()[0]
        if mode == wanted.mode:
            return wanted
        if mode == "wal":
            raise Unavailable(f"{self.where}: another program holds it in WAL mode; stop that one, then try again")
        connection.execute("PRAGMA journal_mode = delete")
        return Journal("delete", "EXTRA", "every commit is safe on this disk, which takes no WAL")

    def _texts(self, name: str) -> TableValuedAlias:
        return func.json_each(bindparam(name, type_=JSON)).table_valued("value")

    def insert(self, connection: Connection, rows: Sequence[Row]) -> None:
        connection.exec_driver_sql(_insert, list(rows))  # executemany, without a dictionary for each row

    def _lock(self, connection: Connection) -> None:
        """BEGIN IMMEDIATE has taken the write lock already.

        With a write-ahead log the newest pages are read from that, so a file that was written over looks sound from
        here: all of it is verified when somebody else has written to it. Raises Broken.
        """
        if self.journal.mode != "wal" or self._written_at in {None, self._file.stat().st_mtime_ns}:
            return
        self._reading.dispose()  # nothing that is remembered may stand in for what is on the disk
        if trouble := first_trouble(self):
            raise Broken(f"{self._file}: it was written over by another program: {trouble}")

    def _committed(self) -> None:
        self._written_at = self._file.stat().st_mtime_ns
        self._log = self._log_on_path() if self.journal.mode == "wal" else None

    def _log_on_path(self) -> int | None:
        try:
            return Path(f"{self._file}-wal").stat().st_ino
        except FileNotFoundError:
            return None

    def _lost_its_log(self) -> bool:
        """A log that somebody deleted is written to for as long as it is open; whoever closes it last empties it."""
        return self._log is not None and self._log_on_path() != self._log

    def _announce(self, connection: Connection) -> None:
        """Nobody to call: other processes look for themselves."""

    def _explain(self, error: BaseException) -> LedgerError | None:
        code = getattr(error, "sqlite_errorcode", None)
        if code is None or code == sqlite3.SQLITE_ERROR:
            damaged = str(error).startswith(("Could not decode to UTF-8", "no such table", "no such column"))
            return Damaged(f"{self.where}: {error}; restore the newest good backup") if damaged else None
        kind, what_to_do = _remedies.get(code & 0xFF, (None, ""))  # the low byte is the primary result code
        return kind(f"{self.where}: {error}; {what_to_do}") if kind else None


def _begin_with_the_lock(connection: Connection) -> None:
    # What is remembered of the file is forgotten: it may have been written over by something that is no SQLite.
    connection.exec_driver_sql("PRAGMA shrink_memory")
    # A plain BEGIN takes the lock at the first write, and fails at once when somebody else wrote in between.
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def _prepare_reader(connection: sqlite3.Connection, _entry: ConnectionPoolEntry) -> None:
    # Not "mode=ro": after a crash the first who opens the file must roll the journal back, which is writing.
    connection.execute("PRAGMA query_only = ON")
