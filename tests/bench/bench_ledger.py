"""How fast the ledger is, beside the bare database on the same disk in the same run.

Never compares figures of two runs: a busy machine would decide.

    python -m tests.bench.bench_ledger [postgresql+psycopg://...]
"""

import sqlite3
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path

import psycopg

from floor.ledger import Ledger, Writer, make_ledger
from floor.ledger.check import verified
from floor.ledger.row import Row
from floor.ledger.sqlite import SqliteLedger
from shared.events.recorded import Fact
from tests.floor.ledger.facts import Tally, a_read, append, assumed, noon, once

waitings = (8, 16, 32, 64)
rounds = 3
"""Rivals take turns, so that what else the machine does meets both."""


def per_second(work: Callable[[int], None], count: int) -> float:
    """How often a second `work(count)` does its thing."""
    start = time.perf_counter()
    work(count)
    return count / (time.perf_counter() - start)


def ratios() -> dict[str, float]:
    """Group commit against single durable commits of raw sqlite3 from one thread, with the same settings.

    Keys: "single commits/s", "group commits/s, N waiting", "group/single, N waiting" with N reads under way at once,
    each looked up by its id, decided, folded and answered. N bounds the ratio: a commit is shared by those that wait.
    """
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        figures = {"single commits/s": 0.0}
        with closing(SqliteLedger(f"sqlite:///{folder}/ledger.db")) as ledger:
            for turn in range(rounds):
                bare = per_second(lambda count: _single_commits(Path(folder) / "bare.db", ledger, count), 200)
                figures["single commits/s"] += bare / rounds
                for waiting in waitings:
                    key = f"group commits/s, {waiting} waiting"
                    name = f"{turn}-{waiting}"
                    rate = per_second(lambda count: _reads(ledger, name, waiting, count), 1_500)  # noqa: B023
                    figures[key] = figures.get(key, 0.0) + rate / rounds
    for waiting in waitings:
        rate = figures[f"group commits/s, {waiting} waiting"]
        figures[f"group/single, {waiting} waiting"] = rate / figures["single commits/s"]
    return figures


def _single_commits(path: Path, like: SqliteLedger, count: int) -> None:
    append(like, assumed(0))
    row = next(like.stored())
    marks = ", ".join("?" * len(row))
    with closing(sqlite3.connect(path, isolation_level=None)) as bare:
        bare.execute(f"PRAGMA journal_mode = {like.journal.mode}")
        bare.execute(f"PRAGMA synchronous = {like.journal.synchronous}")
        bare.execute(f"CREATE TABLE IF NOT EXISTS bare ({', '.join(Row._fields)})")
        for _ in range(count):
            bare.execute("BEGIN IMMEDIATE")
            bare.execute(f"INSERT INTO bare VALUES ({marks})", row)
            bare.execute("COMMIT")


def _reads(ledger: Ledger, name: str, waiting: int, count: int) -> None:
    room = threading.Semaphore(waiting)
    tally = Tally(ledger)
    with Writer(ledger, tally.fold, tally.rebuild, lambda: noon) as writer:
        for n in range(count):
            room.acquire()
            writer.submit(once(read_id := f"{name}-{n}"), read_id).add_done_callback(lambda _: room.release())


def replay(rows: int = 200_000) -> dict[str, float]:
    """Rows a second: events decoded, events verified and decoded, and the bare tuples of raw sqlite3.

    A third of the events is without a read, as steps that are assumed and alarms are.
    """
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        path = Path(folder) / "ledger.db"
        with closing(SqliteLedger(f"sqlite:///{path}")) as ledger:
            append(ledger, *(_event(n) for n in range(rows)))
            figures = {
                "replay rows/s": max(per_second(lambda _: _exhaust(ledger.rows()), rows) for _ in range(rounds)),
                "verified replay rows/s": per_second(lambda _: _exhaust(verified(ledger)), rows),
            }
        figures["bare tuples/s"] = per_second(lambda _: _bare_tuples(path), rows)
    figures["replay/bare tuples"] = figures["replay rows/s"] / figures["bare tuples/s"]
    return figures


def _event(n: int) -> Fact:
    return a_read(f"r-{n}", piece=str(n % 500)) if n % 3 else assumed(1, piece=str(n % 500))


def _exhaust(rows: object) -> None:
    for _ in rows:  # type: ignore[attr-defined]
        pass


def _bare_tuples(path: Path) -> None:
    with closing(sqlite3.connect(path)) as bare:
        _exhaust(bare.execute("SELECT * FROM ledger ORDER BY seq"))


def postgres(url: str, batch: int = 100, batches: int = 20) -> dict[str, float]:
    """Appended rows a second against a bare psycopg insert loop with the same batch in each commit."""
    figures = {"bare inserts/s": 0.0, "append rows/s": 0.0}
    with closing(make_ledger(url)) as ledger, psycopg.connect(url.replace("+psycopg", "")) as bare:
        append(ledger, *(a_read(f"first-{n}") for n in range(batch)))
        rows = list(ledger.stored())[:batch]
        bare.execute("DROP TABLE IF EXISTS bare")
        bare.execute(f"CREATE TABLE bare (id bigserial PRIMARY KEY, {' text, '.join(Row._fields)} text)".encode())
        for turn in range(rounds):
            work: dict[str, Callable[[int], None]] = {
                "bare inserts/s": lambda _: _bare_inserts(bare, rows, batches),
                "append rows/s": lambda _, turn=turn: _appends(ledger, turn, batch, batches),  # type: ignore[misc]
            }
            for key, do in work.items():
                figures[key] += per_second(do, batch * batches) / rounds
    figures["append/bare inserts"] = figures["append rows/s"] / figures["bare inserts/s"]
    return figures


def _bare_inserts(bare: psycopg.Connection, rows: Sequence[Row], batches: int) -> None:
    insert = f"INSERT INTO bare ({', '.join(Row._fields)}) VALUES ({', '.join(['%s'] * len(Row._fields))})".encode()
    for _ in range(batches):
        for row in rows:
            bare.execute(insert, row)
        bare.commit()


def _appends(ledger: Ledger, turn: int, batch: int, batches: int) -> None:
    for n in range(batches):
        append(ledger, *(a_read(f"{turn}-{n}-{m}", piece=str(m)) for m in range(batch)))


if __name__ == "__main__":
    found = ratios() | replay() | (postgres(sys.argv[1]) if sys.argv[1:] else {})
    for name, figure in found.items():
        print(f"{name:32} {figure:12,.1f}")
