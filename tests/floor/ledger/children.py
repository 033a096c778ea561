"""Processes that write to a ledger and come to grief. What they were promised is kept outside of them.

Never decides whether all went well: that is for the test, with the ids that a child was told are safe.
"""

import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass, field
from functools import partial
from itertools import count
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

from sqlalchemy import event

from floor.ledger import Ledger, LedgerError, Writer, make_ledger
from floor.ledger.check import first_trouble
from floor.ledger.copying import copy_to_file
from floor.ledger.sqlite import SqliteLedger
from tests.floor.ledger.facts import Tally, a_read, append, noon, once
from tests.measured import WAIT_S

_forks = multiprocessing.get_context("forkserver")
_forks.set_forkserver_preload(["__main__", "tests.floor.ledger.children"])


@dataclass
class Child:
    """A process, with what it said: the ids that it sent, those that were acknowledged, and other words."""

    process: BaseProcess
    line: Connection
    sent: set[str] = field(default_factory=set)
    acked: set[str] = field(default_factory=set)
    said: list[str] = field(default_factory=list)

    def listen(self, until: Callable[[], bool] = lambda: False) -> None:
        """Take down what it says, until a condition holds or it is gone."""
        try:
            while not until():
                assert self.line.poll(WAIT_S), "a child has hung"
                what, word = self.line.recv()
                {"sent": self.sent.add, "acked": self.acked.add}.get(what, self.said.append)(word)
        except (EOFError, OSError):
            pass

    def end(self) -> None:
        """Kill it, hear what it had still said, and see it gone."""
        self.process.kill()
        self.listen()
        self.process.join(WAIT_S)
        self.line.close()


def start(work: Callable[..., None], *details: Any) -> Child:
    """Run `work(tell, *details)` in a process of its own; `tell(what, word)` speaks to us."""
    ours, theirs = _forks.Pipe(duplex=False)
    process = _forks.Process(target=_child, args=(theirs, work, *details))
    process.start()
    theirs.close()
    return Child(process, ours)


def _child(line: Connection, work: Callable[..., None], *details: Any) -> None:
    lock = threading.Lock()

    def tell(what: str, word: str) -> None:
        with lock:
            line.send((what, word))

    work(tell, *details)


Tell = Callable[[str, str], None]


def keep_writing(tell: Tell, url: str, first: Iterable[str], name: str) -> None:
    """Send reads to a writer for ever, eight at a time: first those that were left unanswered, then new ones."""
    ledger = make_ledger(url)
    _write(tell, ledger, [*first, *(f"{name}-{n}" for n in range(100_000))])


def write_these(tell: Tell, url: str, ids: Sequence[str]) -> None:
    """Send some reads to a writer, and end."""
    ledger = make_ledger(url)
    _write(tell, ledger, ids)
    ledger.close()


def _write(tell: Tell, ledger: Ledger, ids: Iterable[str]) -> None:
    room = threading.Semaphore(8)
    tally = Tally(ledger)
    with Writer(ledger, tally.fold, tally.rebuild, lambda: noon) as writer:
        for read_id in ids:
            room.acquire()
            tell("sent", read_id)
            writer.submit(once(read_id)).add_done_callback(partial(_answered, tell, read_id, room))


def _answered(tell: Tell, read_id: str, room: threading.Semaphore, answer: "Future[str]") -> None:
    error = answer.exception()
    if error:
        tell("failed", f"{read_id}: {type(error).__name__}: {error}")
    else:
        tell("acked", read_id)
    room.release()


def die_while_copying(tell: Tell, url: str, file: str, after_pages: int) -> None:
    """Copy a ledger to a file, and die after so many pages, of which half are copied and half are verified."""
    pages = count(1)

    def one_more(_seq: int) -> None:
        tell("said", "page")
        if next(pages) == after_pages:
            _die()

    copy_to_file(make_ledger(url), Path(file), one_more)


points = ["begun", "inserted", "moved", "committing", "committed", "acked"]
_statements = {"begun": "BEGIN", "inserted": "INSERT INTO ledger", "moved": "UPDATE ledger_head"}


def die_at(tell: Tell, url: str, point: str | None, ids: Sequence[str]) -> None:
    """Send reads one by one, and die at a named point of the first one that is new."""
    ledger = SqliteLedger(url)
    engine = ledger._writing

    @event.listens_for(engine, "after_cursor_execute")
    def executed(_conn: Any, _cursor: Any, statement: str, *_: Any) -> None:
        if point in _statements and statement.startswith(_statements[point]):
            _die()

    if point == "committing":
        event.listen(engine, "commit", lambda _connection: _die())
    for read_id in ids:
        tell("sent", read_id)
        with ledger.transaction() as transaction:
            transaction.append(once(read_id)(transaction)[0], noon)
        if point == "committed":
            _die()
        tell("acked", read_id)
        if point == "acked":
            _die()


def _die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def append_many(tell: Tell, url: str, name: str, count: int) -> None:
    """Append rows to streams that others append to as well, each in a transaction of its own."""
    ledger = make_ledger(url)
    tell("said", "ready")
    for n in range(count):
        append(ledger, a_read(f"{name}-{n}", piece=str(n % 5)))
        tell("acked", f"{name}-{n}")
    ledger.close()


def hold_the_lock(tell: Tell, url: str) -> None:
    """Hold the write lock, with a row that is not committed, for ever."""
    with make_ledger(url).transaction() as transaction:
        transaction.append([a_read("never")], noon)
        list(transaction.rows())
        tell("said", "holding")
        threading.Event().wait()


def fill_up(tell: Tell, url: str, room_bytes: int) -> None:
    """Write until files may not grow any more, then go on when they may, with the ledger opened anew."""
    import resource

    path = url.removeprefix("sqlite:///")
    ledger = make_ledger(url)
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (os.path.getsize(path) + room_bytes, hard))
    _append_until_it_fails(tell, ledger, "before")
    _append_until_it_fails(tell, ledger, "still")
    resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    _append_until_it_fails(tell, ledger, "in vain")
    ledger.close()
    ledger = make_ledger(url)
    tell("said", f"trouble: {first_trouble(ledger)}")
    append(ledger, a_read("after"))
    tell("acked", "after")
    ledger.close()


def _append_until_it_fails(tell: Tell, ledger: Ledger, name: str) -> None:
    for n in range(10_000):
        tell("sent", f"{name}-{n}")
        try:
            append(ledger, a_read(f"{name}-{n}"))
        except LedgerError as error:
            tell("said", f"{name}: {type(error).__name__}: {error}")
            return
        tell("acked", f"{name}-{n}")


def main(url: str, build: str, *ids: str) -> None:
    """For tracing: append reads one by one and say so on standard output, or why not."""
    ledger = SqliteLedger(url, build=tuple(int(part) for part in build.split(".")))
    for read_id in ids:
        try:
            append(ledger, a_read(read_id))
            answer = f"acked {read_id}\n"
        except LedgerError as error:
            answer = f"{type(error).__name__} {read_id}\n"
        os.write(1, answer.encode())


if __name__ == "__main__":
    main(*sys.argv[1:])
