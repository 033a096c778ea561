"""Our ledger beside a general event store, the PyPI package `eventsourcing`, both in SQLite on the same disk.

Both hold the same facts with the same bodies, and both answer when a fact is durable. Appending is compared at equal
settings alone: first those that our ledger picks for this build of SQLite, then WAL + FULL, which theirs asks for by
itself and ours takes on a build that has the mended log. Needs the extra `bench`.

Appending. Theirs: an aggregate a piece, already in memory, told and saved, one commit an event, which is its ordinary
use. Ours: 64 reads on their way at once, each looked up by its id, decided, folded, and committed with those that wait.
Replaying. In order: every event decoded, as a follower reads them. To a state: theirs each aggregate fetched anew, ours
the floor folded.

    python -m tests.bench.bench_other_store [PIECES TO REPLAY, EIGHT EVENTS EACH]
"""

import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

from eventsourcing.application import Application
from eventsourcing.domain import Aggregate, event
from eventsourcing.sqlite import SQLiteFactory
from eventsourcing.system import NotificationLogReader
from msgspec.structs import replace

from floor.ledger.sqlite import Build, SqliteLedger
from floor.service.service import Service
from shared.clock import SetClock
from shared.events.jobs import PieceOpened
from shared.events.recorded import Fact, Recorded, as_dict
from shared.files.jobfile import parse_job
from shared.scan import Answer, Scan
from tests.making import DARK_WALK, MONDAY, job_data, shop_holding

PIECES = 300
TURNS = 4
"""Rivals take turns, and each one's best counts: what else the disk has to do can only slow them down."""
IN_FLIGHT = 64
PAGE = 100
"""Pieces that are stored in one commit where a store is filled to be replayed."""
SHOP = shop_holding(None)
"""Its press takes all the pieces: a station after the other is scanned through."""
BUILDS: tuple[Build, ...] = (sqlite3.sqlite_version_info, (3, 51, 3))


class Piece(Aggregate):
    """A piece, as an aggregate of theirs."""

    @event("Opened")
    def __init__(self, body: dict[str, Any]) -> None:
        self.facts = [body["kind"]]

    @event("Happened")
    def happen(self, body: dict[str, Any]) -> None:
        """One more fact."""
        self.facts.append(body["kind"])


def measure(pieces: int = 5_000) -> dict[str, float]:
    """Events a second, appended and replayed, and the ratios."""
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        appending = [_appending(Path(folder), build) for build in BUILDS]
        return {**appending[0], **appending[1], **_replaying(Path(folder), pieces)}


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _appending(folder: Path, build: Build) -> dict[str, float]:
    ours_s, theirs_s = [], []
    for turn in range(TURNS):
        with closing(SqliteLedger(f"sqlite:///{folder}/ours-{build}-{turn}.db", build=build)) as ledger:
            ours_s.append(_our_appends_s(ledger))
            with closing(_their_store(folder / f"theirs-{build}-{turn}.db", ledger)) as store:
                theirs_s.append(_their_appends_s(store, list(ledger.rows())))
    settings = f"{ledger.journal.mode} + {ledger.journal.synchronous}".upper()
    events = PIECES * len(DARK_WALK)
    return {
        f"{settings}: theirs, appended/s": events / min(theirs_s),
        f"{settings}: ours, decided, appended, folded/s": events / min(ours_s),
        f"{settings}: ours/theirs (aim: 10)": min(theirs_s) / min(ours_s),
    }


def _our_appends_s(ledger: SqliteLedger) -> float:
    clock = SetClock(MONDAY)
    with Service(SHOP, ledger, clock) as service:
        pieces = service.take(parse_job(job_data(sizes={"M": PIECES}), SHOP)).pieces
        scans = list(_walks(pieces, clock))
        return _seconds(lambda: _deliver(service, scans))


def _walks(pieces: Sequence[str], clock: SetClock) -> Iterator[Scan]:
    """Each station in turn takes all the pieces. The clock is at the end of the day then."""
    for station, after_s in DARK_WALK:
        clock.advance(timedelta(seconds=after_s))
        for piece in pieces:
            at = clock.advance(timedelta(seconds=3))
            yield Scan(read_id=uuid4().hex, text=piece, at=at, device="gun", station=station)


def _deliver(service: Service, scans: Sequence[Scan]) -> None:
    waiting: list[Future[Answer]] = []
    for scan in scans:
        waiting.append(service.submit(scan))
        if len(waiting) == IN_FLIGHT:
            assert waiting.pop(0).result().good
    assert all(future.result().good for future in waiting)


def _their_store(file: Path, like: SqliteLedger) -> Application[Any]:
    """A store with the settings of a ledger, on the one connection that one thread gets from its pool."""
    store: Application[Any] = Application(
        env={"PERSISTENCE_MODULE": "eventsourcing.sqlite", "SQLITE_DBNAME": str(file)}
    )
    factory = store.factory
    assert isinstance(factory, SQLiteFactory)
    with factory.datastore.get_connection(commit=True) as connection:
        connection.cursor().execute(f"PRAGMA journal_mode = {like.journal.mode}")
        connection.cursor().execute(f"PRAGMA synchronous = {like.journal.synchronous}")
    return store


def _their_appends_s(store: Application[Any], rows: Sequence[Recorded]) -> float:
    opened = [row.event for row in rows if isinstance(row.event, PieceOpened)]
    pieces = {each.piece: Piece(as_dict(each)) for each in opened}
    store.save(*pieces.values())
    told = [(pieces[row.event.stream], as_dict(row.event)) for row in rows if row.read_id]

    def append() -> None:
        for piece, body in told:
            piece.happen(body)
            store.save(piece)

    return _seconds(append)


def _replaying(folder: Path, pieces: int) -> dict[str, float]:
    with closing(SqliteLedger(f"sqlite:///{folder}/ours.db")) as ledger:
        walk = _one_walk(ledger)
        _fill_ours(ledger, walk, pieces)
        with closing(_their_store(folder / "theirs.db", ledger)) as store:
            ids = _fill_theirs(store, walk, pieces)
            events = len(walk) * pieces
            return _compared(events, ledger, store, ids)


def _one_walk(ledger: SqliteLedger) -> list[Fact]:
    """All the facts of one piece, from its ticket to packing."""
    clock = SetClock(MONDAY)
    with Service(SHOP, ledger, clock) as service:
        pieces = service.take(parse_job(job_data(sizes={"M": 1}), SHOP)).pieces
        _deliver(service, list(_walks(pieces, clock)))
    return [_as_fact(row) for row in ledger.rows() if row.event.stream in pieces]


def _as_fact(row: Recorded) -> Fact:
    return Fact(event=row.event, occurred_at=row.occurred_at, station=row.station, device=row.device)


def _fill_ours(ledger: SqliteLedger, walk: Sequence[Fact], pieces: int) -> None:
    for start in range(0, pieces, PAGE):
        with ledger.transaction() as transaction:
            for number in range(start, min(start + PAGE, pieces)):
                transaction.append([_of(number, fact) for fact in walk], MONDAY + timedelta(seconds=number))


def _of(number: int, fact: Fact) -> Fact:
    """The same fact of another piece."""
    at = fact.occurred_at + timedelta(seconds=number)
    read_id = None if isinstance(fact.event, PieceOpened) else uuid4().hex
    return replace(fact, event=replace(fact.event, piece=f"{number:010d}"), occurred_at=at, read_id=read_id)


def _fill_theirs(store: Application[Any], walk: Sequence[Fact], pieces: int) -> list[Any]:
    ids = []
    for start in range(0, pieces, PAGE):
        page = [_their_piece(number, walk) for number in range(start, min(start + PAGE, pieces))]
        store.save(*page)
        ids += [piece.id for piece in page]
    return ids


def _their_piece(number: int, walk: Sequence[Fact]) -> Piece:
    opened, *later = (as_dict(_of(number, fact).event) for fact in walk)
    piece = Piece(opened)
    for body in later:
        piece.happen(body)
    return piece


def _compared(events: int, ledger: SqliteLedger, store: Application[Any], ids: Sequence[Any]) -> dict[str, float]:
    their_order = events / _seconds(lambda: sum(1 for _ in _in_order(store)))
    our_order = events / _seconds(lambda: sum(1 for _ in ledger.rows()))
    their_state = events / _seconds(lambda: [store.repository.get(each) for each in ids])
    our_state = events / _seconds(lambda: _start(ledger))
    return {
        "events to replay": events,
        "in order: theirs, replayed/s": their_order,
        "in order: ours, replayed/s": our_order,
        "in order: ours/theirs (aim: 20)": our_order / their_order,
        "to a state: theirs, replayed/s": their_state,
        "to a state: ours, replayed/s": our_state,
        "to a state: ours/theirs (aim: 20)": our_state / their_state,
    }


def _start(ledger: SqliteLedger) -> None:
    with Service(SHOP, ledger, SetClock(MONDAY)):
        pass


def _in_order(store: Application[Any]) -> Iterator[object]:
    for section in NotificationLogReader(store.notification_log).select(start=1):
        yield from map(store.mapper.to_domain_event, section)


if __name__ == "__main__":
    for name, value in measure(*map(int, sys.argv[1:2])).items():
        print(f"{name:<55} {value:>12,.1f}")
