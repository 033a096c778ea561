"""How long a scan takes to its durable answer, against one raw durable commit on the same disk."""

import sqlite3
import tempfile
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from statistics import quantiles
from uuid import uuid4

from floor.ledger import make_ledger
from floor.service.service import Service
from shared.clock import SetClock
from shared.files.jobfile import parse_job
from shared.scan import Scan
from tests.making import DARK_WALK, MONDAY, job_data, shop

SCANS = 1_400


def measure() -> dict[str, float]:
    """Milliseconds at the 50th and 99th percentile of both, taken in turn in one run, and the ratio of the latter."""
    with tempfile.TemporaryDirectory() as folder:
        raw, scans = _alternating(Path(folder))
    return {
        "raw commit p50 ms": _percentile(raw, 50),
        "raw commit p99 ms": _percentile(raw, 99),
        "scan p50 ms": _percentile(scans, 50),
        "scan p99 ms": _percentile(scans, 99),
        "scan p99 / raw p99": _percentile(scans, 99) / _percentile(raw, 99),
    }


def _percentile(seconds: list[float], percent: int) -> float:
    return 1_000 * quantiles(seconds, n=100)[percent - 1]


def _alternating(folder: Path) -> tuple[list[float], list[float]]:
    ledger = make_ledger(f"sqlite:///{folder / 'ledger.db'}")
    raw = _raw_commit(folder / "raw.db", _journal_mode(folder / "ledger.db"))
    clock = SetClock(MONDAY)
    its_shop = shop()
    with Service(its_shop, ledger, clock) as service:
        job = parse_job(job_data(sizes={"M": SCANS // len(DARK_WALK)}), its_shop)
        taken = service.take(job)
        times = [
            (_timed(raw), _timed(_scan(service, clock, piece, station, after_s)))
            for piece in taken.pieces
            for station, after_s in DARK_WALK
        ]
    ledger.close()
    return [each[0] for each in times], [each[1] for each in times]


def _scan(service: Service, clock: SetClock, piece: str, station: str, after_s: float) -> Callable[[], None]:
    clock.advance(timedelta(seconds=after_s))
    scan = Scan(read_id=uuid4().hex, text=piece, at=clock.now(), device="gun", station=station)

    def once() -> None:
        answer = service.scan(scan)
        assert answer.good, answer

    return once


def _timed(work: Callable[[], None]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _journal_mode(ledger: Path) -> str:
    with sqlite3.connect(ledger) as connection:
        return str(connection.execute("PRAGMA journal_mode").fetchone()[0])


def _raw_commit(file: Path, mode: str) -> Callable[[], None]:
    connection = sqlite3.connect(file, isolation_level=None, check_same_thread=False)
    connection.execute(f"PRAGMA journal_mode={mode}")
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("CREATE TABLE scan (id INTEGER PRIMARY KEY, body TEXT)")

    def once() -> None:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("INSERT INTO scan (body) VALUES (?)", ("x" * 500,))
        connection.execute("COMMIT")

    return once
