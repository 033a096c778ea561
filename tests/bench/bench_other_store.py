"""Our ledger beside a general event store, the PyPI package `eventsourcing`, both in SQLite on the same disk.

Both commit with synchronous = FULL. Theirs: WAL; an aggregate a piece, fetched, told, saved, one commit an event, which
is its ordinary use. Ours: the journal mode of this SQLite build; many reads in flight, decided, folded, and committed
together. Needs the extra `bench`.

    python -m tests.bench.bench_other_store
"""

import os
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

from floor.ledger import open_ledger
from floor.service import Service
from shared.clock import SetClock
from shared.jobfile import parse_job
from shared.scan import Answer, Scan
from tests.making import DARK_WALK, MONDAY, job_data, shop

PIECES = 300
IN_FLIGHT = 64


def measure() -> dict[str, float]:
    """Events a second: appended (with the decision and the fold), and replayed from the disk; and the ratios."""
    with tempfile.TemporaryDirectory() as folder:
        their_append, their_replay = _theirs(Path(folder) / "theirs.db")
        our_append, our_replay = _ours(Path(folder) / "ours.db")
    return {
        "theirs: appended/s": their_append,
        "ours: decided, appended and folded/s": our_append,
        "append, ours/theirs (aim: 10)": our_append / their_append,
        "theirs: replayed/s": their_replay,
        "ours: replayed/s": our_replay,
        "replay, ours/theirs (aim: 20)": our_replay / their_replay,
    }


def _rate(count: int, work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return count / (time.perf_counter() - start)


def _theirs(file: Path) -> tuple[float, float]:
    from eventsourcing.application import Application
    from eventsourcing.domain import Aggregate, event

    class Piece(Aggregate):
        @event("Opened")
        def __init__(self, code: str) -> None:
            self.code = code
            self.steps: list[int] = []

        @event("StepDone")
        def done(self, step: int, station: str, say: str) -> None:
            self.steps.append(step)

    with _environment(PERSISTENCE_MODULE="eventsourcing.sqlite", SQLITE_DBNAME=str(file)):
        store: Any = Application()
    ids = []

    def append() -> None:
        for number in range(PIECES):
            piece = Piece(code=str(number))
            store.save(piece)
            ids.append(piece.id)
            for step, (station, _) in enumerate(DARK_WALK):
                piece = store.repository.get(piece.id)
                piece.done(step=step, station=station, say=f"Step {step} is done. Next: the one after at {station}.")
                store.save(piece)

    events = PIECES * (1 + len(DARK_WALK))
    appended = _rate(events, append)
    replayed = _rate(events, lambda: [store.repository.get(each) for each in ids])
    store.close()
    return appended, replayed


@contextmanager
def _environment(**values: str) -> Iterator[None]:
    before = dict(os.environ)
    os.environ.update(values)
    try:
        yield
    finally:
        os.environ.clear()
        os.environ.update(before)


def _ours(file: Path) -> tuple[float, float]:
    ledger = open_ledger(f"sqlite:///{file}")
    clock = SetClock(MONDAY)
    with Service(shop(), ledger, clock) as service:
        pieces = service.take(parse_job(job_data(sizes={"M": PIECES}), shop())).pieces
        appended = _rate(len(DARK_WALK) * PIECES, lambda: _walk_all(service, clock, pieces))
    rows = ledger.head()
    replayed = _rate(10 * rows, lambda: [sum(1 for _ in ledger.rows()) for _ in range(10)])
    ledger.close()
    return appended, replayed


def _walk_all(service: Service, clock: SetClock, pieces: tuple[str, ...]) -> None:
    """Each station in turn takes all the pieces, with many reads on their way at once."""
    for station, after_s in DARK_WALK:
        clock.advance(timedelta(seconds=after_s))
        waiting: list[Future[Answer]] = []
        for piece in pieces:
            at = clock.advance(timedelta(seconds=3))
            scan = Scan(read_id=uuid4().hex, text=piece, at=at, device="gun", station=station)
            waiting.append(service.submit(scan))
            if len(waiting) == IN_FLIGHT:
                assert waiting.pop(0).result().good
        assert all(future.result().good for future in waiting)


if __name__ == "__main__":
    for name, value in measure().items():
        print(f"{name:<45} {value:>12,.1f}")
