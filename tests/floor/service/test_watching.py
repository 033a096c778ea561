"""A floor that is only watched: as new as the ledger, and in nobody's way."""

import threading
from datetime import timedelta

import pytest

from floor.core.folds.fold import fold_all
from floor.ledger import LedgerError, MemoryLedger, Unavailable
from floor.service.service import Service
from floor.service.watching import Watcher
from shared.clock import SetClock
from shared.scan import Scan
from tests.floor.service.test_service import take_job
from tests.making import MONDAY, shop
from tests.measured import WAIT_S


def read(piece: str, clock: SetClock) -> Scan:
    at = clock.advance(timedelta(seconds=90))
    return Scan(read_id=f"{at}", text=piece, at=at, device="gun", station="pretreat booth")


def test_what_was_recorded_is_seen_at_the_next_look() -> None:
    clock, ledger = SetClock(MONDAY), MemoryLedger()
    with Service(shop(), ledger, clock) as service:
        watcher = Watcher(ledger, shop(), clock)
        with watcher.looking() as floor:
            assert not floor.jobs
        take_job(service)
        with watcher.looking() as floor:
            assert list(floor.jobs) == ["J0001"]
            assert floor.seq == ledger.head()


class Counting(MemoryLedger):
    """A ledger that counts the rows that are read from it."""

    read = 0

    def rows(self, after: int = 0, until: int | None = None):  # type: ignore[no-untyped-def]
        for row in super().rows(after, until):
            self.read += 1
            yield row


def test_what_this_process_recorded_is_not_read_from_the_ledger_again() -> None:
    clock, ledger = SetClock(MONDAY), Counting()
    with Service(shop(), ledger, clock) as service:
        [piece] = take_job(service).pieces
        assert service.scan(read(piece, clock)).good
        with service.watcher.looking() as floor:
            assert floor.seq == ledger.head() > 0
        assert ledger.read == 0


def test_rows_of_others_between_those_of_this_process_are_seen_too() -> None:
    clock, ledger = SetClock(MONDAY), MemoryLedger()
    with Service(shop(), ledger, clock) as one, Service(shop(), ledger, clock) as other:
        pieces = [piece for service in (one, other, one) for piece in take_job(service).pieces]
        with one.watcher.looking() as floor:
            assert (list(floor.pieces), floor.seq) == (pieces, ledger.head())
        assert other.scan(read(pieces[0], clock)).good
        assert one.scan(read(pieces[1], clock)).good
        with one.watcher.looking() as floor:
            assert floor == fold_all(ledger.rows())


def test_a_scan_is_answered_while_somebody_looks() -> None:
    clock, ledger = SetClock(MONDAY), MemoryLedger()
    with Service(shop(), ledger, clock) as service:
        [piece] = take_job(service).pieces
        with service.watcher.looking():
            answered = threading.Event()
            thread = threading.Thread(target=lambda: answered.set() if service.scan(read(piece, clock)).good else None)
            thread.start()
            assert answered.wait(WAIT_S)
            thread.join()


class Away(MemoryLedger):
    """A ledger that cannot be read for a while."""

    away = False

    def rows(self, after: int = 0, until: int | None = None):  # type: ignore[no-untyped-def]
        if self.away:
            raise Unavailable("away")
        return super().rows(after, until)


def test_while_the_ledger_cannot_be_read_the_last_board_stands_and_its_moment_tells() -> None:
    clock, ledger = SetClock(MONDAY), Away()
    with Service(shop(), ledger, clock) as service:
        take_job(service)
        watcher = Watcher(ledger, shop(), clock)
        seen = watcher.board()
        ledger.away = True
        clock.advance(timedelta(minutes=5))
        assert watcher.board() is seen
        ledger.away = False
        assert watcher.board().at == MONDAY + timedelta(minutes=5)


def test_a_ledger_that_could_never_be_read_is_told() -> None:
    ledger = Away()
    ledger.away = True
    with pytest.raises(Unavailable):
        Watcher(ledger, shop(), SetClock(MONDAY)).board()


def test_who_tells_that_it_is_old_sees_the_floor_as_it_was_last() -> None:
    clock, ledger, told = SetClock(MONDAY), Away(), list[LedgerError]()
    with Service(shop(), ledger, clock) as service:
        watcher = Watcher(ledger, shop(), clock)
        take_job(service)
        ledger.away = True
        with pytest.raises(Unavailable), watcher.looking(tell=told.append):
            pass  # nothing is known yet, and an empty floor would be a lie
        ledger.away = False
        with watcher.looking():
            pass
        ledger.away = True
        with watcher.looking(tell=told.append) as floor:
            assert list(floor.jobs) == ["J0001"]
        assert [str(error) for error in told] == ["away"]
        with pytest.raises(Unavailable), watcher.looking():
            pass
