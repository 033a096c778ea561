"""A bench's spool: a read is on the disk before anyone is told so, and stays until the floor has answered.

Never lets one damaged record take another with it.
"""

import os
from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import contextmanager, suppress
from io import FileIO
from itertools import islice
from pathlib import Path
from threading import Lock
from typing import Self

from filelock import FileLock, Timeout

from scanners import durable
from scanners.age import Stamp
from scanners.aside import Aside
from scanners.record import Cleared, KeptScan, from_line, to_line
from shared.scan import Scan

READS_MAX = 50_000
"""Weeks of a busy bench. A full spool takes no more: the operator hears that the read was not kept."""
LINE_BYTES_MAX = 16_384
"""No record of ours is longer; what is, is garbage, and is set aside in pieces."""
FILE_BYTES_MAX = 256 * 2**20
"""No spool grows so large: a larger file is something else, and is not touched."""
GARBAGE_BYTES_MAX = 65_536
"""More than this without a single good record is some other file, and is not touched either."""
MARKS_MAX = 1_000
"""So many cleared reads may be marked in the file before it is written anew, if fewer reads wait."""


class SpoolError(Exception):
    """The read was not kept, or the spool cannot be opened: what, and what to do, in one line."""


class SpoolFull(SpoolError):
    """As many reads wait as the spool may hold."""


class Spool:
    """The reads that wait, in order: in memory, and in one append-only file that only one process may have open.

    Safe to use from any thread.
    """

    def __init__(self, path: Path, stamp: Callable[[], Stamp], reads_max: int = READS_MAX) -> None:
        """Open the spool, or begin one. Damaged records go into `PATH.bad`. Raises SpoolError."""
        self._path = path
        self._stamp = stamp
        self._reads_max = reads_max
        self._aside = Aside(path.with_name(f"{path.name}.bad"))
        self._waiting: dict[str, KeptScan] = {}
        self._bytes = 0
        """Up to here the file holds what was acknowledged."""
        self._marks = 0
        self._doubtful = False
        """Whether there may be more in the file than that."""
        self._closed = False
        self._mutex = Lock()
        self._process_lock = FileLock(path.with_name(f"{path.name}.lock"))
        self.damaged = 0
        """Damaged records that were found when the spool was opened."""
        self._open()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def __len__(self) -> int:
        return len(self._waiting)

    def put(self, scan: Scan) -> None:
        """Keep a read: when this returns it is on the disk. A read that waits already is kept once.

        Raises SpoolFull, or SpoolError when it could not be written; then it is not kept.
        """
        kept = KeptScan(scan=scan, stamp=self._stamp())
        with self._mutex:
            if self._closed:
                raise SpoolError("the bench is closing: the read was not kept")
            if scan.read_id in self._waiting:
                return
            if len(self._waiting) >= self._reads_max:
                raise SpoolFull(f"{self._reads_max} reads wait already: this one was not kept")
            self._append(kept)
            self._waiting[scan.read_id] = kept

    def pending(self, at_most: int, without: Collection[str] = ()) -> list[KeptScan]:
        """The reads that have waited longest, in the order in which they were kept."""
        with self._mutex:
            return list(islice((kept for id, kept in self._waiting.items() if id not in without), at_most))

    def clear(self, read_ids: Iterable[str]) -> None:
        """Reads that the floor has answered no longer wait.

        Where that cannot be written down they are sent once more after a restart, which counts once.
        """
        with self._mutex:
            done = tuple(id for id in read_ids if self._waiting.pop(id, None))
            if done and not self._closed:
                with suppress(SpoolError, OSError):
                    self._mark(done)

    def set_aside(self, read_id: str, why: str) -> None:
        """A read that the floor will never take goes into `PATH.bad`, and no longer waits.

        Raises SpoolError when that could not be written; then it still waits.
        """
        with self._mutex, _told(self._path):
            record = to_line(self._waiting[read_id]).strip()
            self._aside.add([record], why, self._stamp().at)
        self.clear([read_id])

    def close(self) -> None:
        """Let go of the file. All that was kept is in it already."""
        with self._mutex:
            self._closed = True
            self._file.close()
            self._process_lock.release()

    # Opening

    def _open(self) -> None:
        if self._path.exists() and not self._path.is_file():
            raise SpoolError(f"{self._path} is no file: name another one for the spool")
        with _told(self._path):
            self._lock()
            try:
                self._load()
            except BaseException:
                self._process_lock.release()
                raise

    def _lock(self) -> None:
        try:
            self._process_lock.acquire(timeout=0)
        except Timeout:
            raise SpoolError(f"{self._path} is in use by another bench program: stop that one first") from None

    def _load(self) -> None:
        self._file = self._path.open("ab", buffering=0)
        try:
            durable.sync_folder(self._path.parent)
            self._bytes = self._path.stat().st_size
            bad = list(self._replay())
            if bad:
                self._aside.add(bad, "damaged", self._stamp().at)
                self._begin_anew()
            self.damaged = len(bad)
        except BaseException:
            self._file.close()
            raise

    def _replay(self) -> Iterator[bytes]:
        """Take every good record in; give the others back. Raises SpoolError for a file that is no spool."""
        if self._bytes > FILE_BYTES_MAX:
            raise SpoolError(f"{self._path} is too large for a spool: move it away")
        good = 0
        for line in _lines(self._path):
            record = from_line(line)
            if record is None:
                yield line
            else:
                self._take(record)
                good += 1
        if not good and self._bytes > GARBAGE_BYTES_MAX:
            raise SpoolError(f"{self._path} is not a spool, nothing in it is a read: move it away")

    def _take(self, record: KeptScan | Cleared) -> None:
        match record:
            case KeptScan(scan=scan):
                self._waiting[scan.read_id] = record
            case Cleared(read_ids=read_ids):
                self._marks += len(read_ids)
                for read_id in read_ids:
                    self._waiting.pop(read_id, None)

    # Writing; the mutex is held

    def _append(self, record: KeptScan | Cleared) -> None:
        line = to_line(record)
        with _told(self._path):
            if self._doubtful:
                self._mend()
            if self._is_not_ours():
                self._begin_anew()
            try:
                durable.append(self._opened(), line)
            except OSError:
                self._doubtful = True
                with suppress(SpoolError, OSError):
                    self._mend()
                raise
        self._bytes += len(line)

    def _mend(self) -> None:
        """Cut off what was not acknowledged; where even that fails, begin a new file."""
        try:
            self._opened().truncate(self._bytes)
            durable.sync(self._file)
        except OSError:
            self._begin_anew()
        self._doubtful = False

    def _is_not_ours(self) -> bool:
        """Whether the file was deleted, replaced, cut off or written to by somebody else; what waits is in memory."""
        opened = os.fstat(self._opened().fileno())
        with suppress(FileNotFoundError):
            return opened.st_size != self._bytes or not os.path.samestat(opened, self._path.stat())
        return True

    def _mark(self, done: tuple[str, ...]) -> None:
        if self._waiting:
            self._append(Cleared(read_ids=done))
            self._marks += len(done)
            if self._marks > max(MARKS_MAX, len(self._waiting)):
                self._begin_anew()
        else:
            self._opened().truncate(0)
            self._bytes = self._marks = 0
            durable.sync(self._file)

    def _begin_anew(self) -> None:
        """A new file with what waits and nothing else, in place of the old one."""
        lines = [to_line(kept) for kept in self._waiting.values()]
        self._file.close()  # Windows replaces no open file
        durable.replace(self._path, lines)
        self._bytes, self._marks = sum(map(len, lines)), 0

    def _opened(self) -> FileIO:
        if self._file.closed:
            self._file = self._path.open("ab", buffering=0)
        return self._file


def _lines(path: Path) -> Iterator[bytes]:
    with path.open("rb") as file:
        for piece in iter(lambda: file.readline(LINE_BYTES_MAX), b""):
            if line := piece.strip(b"\n"):
                yield line


@contextmanager
def _told(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise SpoolError(f"{path}: {error.strerror or error}: see that it may be written, and has room") from error
