"""A ledger copied as it is: every row with its hash, in pages, into an empty one, and verified there.

Never leaves half a copy under a name that somebody trusts.
"""

import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from itertools import islice
from pathlib import Path
from urllib.parse import quote, unquote

from floor.ledger import make_ledger, open_ledger
from floor.ledger.check import OnPage, go_on, page_rows, remedy, verify
from floor.ledger.contract import Ledger
from floor.ledger.errors import Damaged, NotEmpty, Unavailable
from floor.ledger.row import Head, Row
from scanners.durable import sync, sync_folder

FILE_URL = "sqlite:///"
PART_PREFIX = ".piecewalk-part-"
STALE_S = 86_400
"""No copy takes a day: what is left of one that was killed is cleared away when the next one is made."""
BESIDE = ("-journal", "-wal", "-shm")
"""What SQLite may keep beside a file, and cannot read the file aright without."""


def copy(source: Ledger, target: Ledger, on_page: OnPage = go_on) -> Head:
    """Copy all rows up to the head as it is now, though others append meanwhile; the head of the copy, verified.

    The target gets all of them or none. Raises NotEmpty, and Damaged when either side is.
    """
    head = source.noted_head()
    with target.transaction() as transaction:
        if transaction.head():
            raise NotEmpty(f"there are {transaction.head()} rows in it already; name a new, empty ledger")
        last = Head()
        for page in _pages(source.stored(until=head.seq)):
            last = transaction.adopt(page)
            on_page(last.seq)
        if last.seq < head.seq:
            raise Damaged(f"row {last.seq + 1}: it and all up to row {head.seq} are missing; {remedy}")
        if last != head:
            raise Damaged(f"row {last.seq}: it is not the row that was written last; {remedy}")
    verify(target, on_page)
    return head


def _pages(rows: Iterator[Row]) -> Iterator[list[Row]]:
    while page := list(islice(rows, page_rows)):
        yield page


def copy_to_file(source: Ledger, file: Path, on_page: OnPage = go_on, aside: Path | None = None) -> Head:
    """Copy a ledger to an SQLite file, which gets its name only when the copy is verified and on the disk.

    What bore the name before is replaced or, given `aside`, kept under that name. Raises OSError too.
    """
    with _room_beside(file) as part:
        with closing(make_ledger(f"{FILE_URL}{quote(str(part))}")) as copied:
            head = copy(source, copied, on_page)
        _settle(part)
        if aside is not None and file.exists():
            _keep(file, aside)
        part.replace(file)
    sync_folder(file.parent)
    return head


@contextmanager
def opened_copy(file: Path) -> Iterator[Ledger]:
    """A ledger that was copied to a file, until the block ends. Raises Unavailable and Damaged.

    The tables of an old one are brought up to date in it, as with any ledger; its rows stay as they are.
    """
    if not file.is_file():
        raise Unavailable(f"{file}: there is no such file")
    if not holds_a_ledger(file):
        raise Damaged(f"{file}: this is no ledger, or it is damaged; name another backup")
    with closing(open_ledger(f"{FILE_URL}{quote(str(file))}")) as ledger:
        yield ledger


def holds_a_ledger(file: Path) -> bool:
    """Whether a file is an SQLite database with the tables of a ledger, as far as a first look can tell."""
    look = "SELECT count(*) FROM sqlite_master WHERE name IN ('ledger', 'ledger_head')"
    try:
        with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)) as connection:
            return bool(connection.execute(look).fetchone() == (2,))
    except sqlite3.Error:
        return False


def file_of(url: str) -> Path | None:
    """The file of a ledger's URL; None for one on a server."""
    path = unquote(url.partition("?")[0].removeprefix(FILE_URL))
    return Path(path) if url.startswith(FILE_URL) and path else None


@contextmanager
def _room_beside(file: Path) -> Iterator[Path]:
    """A place on the same disk for a file of that name; nothing stays in it."""
    room = Path(tempfile.mkdtemp(prefix=PART_PREFIX, dir=file.parent))
    try:
        _clear_stale(room)
        yield room / file.name
    finally:
        shutil.rmtree(room, ignore_errors=True)


def _clear_stale(room: Path) -> None:
    """By the disk's own clock, so that nobody need be asked what time it is."""
    now_s = room.stat().st_mtime
    for other in room.parent.glob(f"{PART_PREFIX}*"):
        with suppress(OSError):  # another one clears up at the same time
            if now_s - other.stat().st_mtime > STALE_S:
                shutil.rmtree(other)


def _settle(part: Path) -> None:
    """One file that needs nothing beside it, on the disk."""
    with closing(sqlite3.connect(part)) as connection:
        connection.execute("PRAGMA journal_mode = delete")
    with part.open("rb+") as file:
        sync(file)


def _keep(file: Path, aside: Path) -> None:
    """A second name for what is there; where the disk knows no second names, the first is gone for a moment."""
    try:
        aside.hardlink_to(file)
    except FileExistsError:
        raise
    except OSError:
        file.rename(aside)
    for end in BESIDE:
        beside = file.with_name(f"{file.name}{end}")
        if beside.exists():
            beside.rename(aside.with_name(f"{aside.name}{end}"))
