"""The running floor: what is answered is kept, once, and everybody who follows is told."""

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path

import pytest

from floor.core.folds.fold import fold_all
from floor.core.orders.jobs import Taken
from floor.core.state.floor import Floor
from floor.ledger import MemoryLedger, make_ledger
from floor.service.service import UNRECORDED_MAX, ReadIdReused, Service
from shared.clock import SetClock
from shared.events.recorded import Fact
from shared.files.jobfile import parse_job
from shared.scan import Scan
from tests.making import MONDAY, job_data, shop
from tests.measured import WAIT_S


@contextmanager
def running(ledger: MemoryLedger | None = None) -> Iterator[Service]:
    with Service(shop(), ledger or MemoryLedger(), SetClock(MONDAY)) as service:
        yield service


def take_job(service: Service, pieces: int = 1) -> Taken:
    return service.take(parse_job(job_data(sizes={"M": pieces}), shop()))


def read(code: str, read_id: str = "1", station: str = "pretreat booth", after_s: float = 60) -> Scan:
    at = MONDAY + timedelta(seconds=after_s)
    return Scan(read_id=read_id, text=code, at=at, device="gun", station=station)


def test_a_scan_is_in_the_ledger_when_it_is_answered() -> None:
    ledger = MemoryLedger()
    with running(ledger) as service:
        piece = take_job(service).pieces[0]
        answer = service.scan(read(piece))
        assert (answer.outcome, answer.step, answer.next) == ("accepted", "pretreat", "underlayer")
        recorded = ledger.by_read_id("1")
        assert recorded is not None
        assert recorded.event.read is not None  # type: ignore[attr-defined]
        assert recorded.event.read.answer == answer  # type: ignore[attr-defined]


def test_a_scan_that_is_delivered_twice_counts_once_and_is_answered_alike() -> None:
    ledger = MemoryLedger()
    with running(ledger) as service:
        piece = take_job(service).pieces[0]
        first = service.scan(read(piece))
        head = ledger.head()
        assert service.scan(read(piece)) == first
        assert ledger.head() == head


def test_a_repeated_read_is_answered_alike_when_it_is_sent_again_after_others() -> None:
    ledger = MemoryLedger()
    with running(ledger) as service:
        one, other = take_job(service, pieces=2).pieces
        service.scan(read(one, "1"))
        repeated = service.scan(read(one, "2", after_s=61))
        service.scan(read(other, "3", after_s=90))
        head = ledger.head()
        assert repeated.outcome == "repeated"
        by_its_age = read(one, "2", after_s=61.001)  # a bench tells how old a read is, and the way takes time
        assert service.scan(by_its_age) == repeated
        assert ledger.head() == head


def test_of_repeated_reads_so_many_are_remembered_and_no_more() -> None:
    with running() as service:
        piece = take_job(service).pieces[0]
        service.scan(read(piece))
        for n in range(UNRECORDED_MAX + 10):
            assert service.scan(read(piece, f"again-{n}")).outcome == "repeated"
        assert len(service._unrecorded) == UNRECORDED_MAX


def test_the_id_of_a_read_cannot_serve_for_another_read() -> None:
    ledger = MemoryLedger()
    with running(ledger) as service:
        one, other = take_job(service, pieces=2).pieces
        service.scan(read(one))
        head = ledger.head()
        with pytest.raises(ReadIdReused):
            service.scan(read(other))
        assert ledger.head() == head


def test_work_that_fails_records_nothing_and_the_floor_goes_on() -> None:
    ledger = MemoryLedger()

    def fails(_floor: Floor) -> tuple[tuple[Fact, ...], None]:
        raise LookupError("no such thing")

    with running(ledger) as service:
        before = ledger.head()
        with pytest.raises(LookupError):
            service.record(fails)
        assert ledger.head() == before
        assert take_job(service).job == "J0001"


def test_a_floor_that_is_opened_again_knows_what_the_one_before_knew() -> None:
    ledger = MemoryLedger()
    with running(ledger) as service:
        piece = take_job(service).pieces[0]
        service.scan(read(piece))
        before = service.board(MONDAY)
    with running(ledger) as service:
        assert service.board(MONDAY) == before
        with service.reading() as floor:
            assert floor == fold_all(ledger.rows())


def test_rows_of_another_process_reach_those_who_follow(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'ledger.db'}"
    mine, theirs = make_ledger(url), make_ledger(url)
    told = threading.Event()
    with Service(shop(), mine, SetClock(MONDAY)) as service, Service(shop(), theirs, SetClock(MONDAY)) as other:
        service.follow(told.set)
        take_job(other)
        assert told.wait(WAIT_S), "nobody was told of the other's job"
        with service.reading() as floor:
            assert list(floor.jobs) == ["J0001"]
    mine.close()
    theirs.close()


def test_the_same_piece_scanned_at_once_by_many_is_accepted_once() -> None:
    ledger = MemoryLedger()
    with running(ledger) as service, ThreadPoolExecutor(8) as hands:
        piece = take_job(service).pieces[0]
        scans = [read(piece, read_id=str(n), after_s=60 + 10 * n) for n in range(8)]
        outcomes = [answer.outcome for answer in hands.map(service.scan, scans)]
    assert outcomes.count("accepted") == 1, outcomes
