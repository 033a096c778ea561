"""A remote bench and the floor, over a real network and with a real ledger, through outages and wrong clocks."""

import contextlib
from collections.abc import Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from threading import Event
from typing import Any

import pytest

from floor.doors.remote import Place, run_bench
from scanners.forward import Forwarder
from scanners.post import HttpPost
from scanners.spool import Spool
from shared.clock import SetClock
from shared.scan import Scan
from tests.floor.web import rig
from tests.floor.web.rig import House
from tests.making import DARK_WALK, MONDAY
from tests.scanners.remote_rig import FIVE, Told, Watch, filled, reads
from tests.simulation.checker import check


@pytest.fixture
def house() -> Iterator[House]:
    with rig.sqlite_house() as house:
        yield house


class Remote:
    """A bench at the other end of the network, moved by hand; its clocks run with the floor's, unless they are set."""

    def __init__(self, folder: Path, url: str, token: str) -> None:
        self.watch, self.told = Watch(), Told()
        self.watch.set(MONDAY)
        self._path = folder / "bench.spool"
        self._post = HttpPost(url, lambda: token)
        self._number = 0
        self.open()

    def open(self) -> None:
        self.spool = Spool(self._path, self.watch)
        self.forwarder = Forwarder(self.spool, self._post, self.watch, self.told.notices, luck=lambda: 0.0)

    def reboot(self, off_s: float) -> None:
        self.spool.close()
        self.watch.reboot(off_s)
        self.open()

    def close(self) -> None:
        self.spool.close()
        self._post.close()

    def read(self, code: str, station: str = "press 1") -> str:
        self._number += 1
        id = f"read-{self._number:06}"
        self.spool.put(Scan(read_id=id, text=code, at=self.watch.now.at, device=f"gun {station}", station=station))
        return id

    def deliver(self, steps_max: int = 100) -> None:
        """Step until all is answered; the floor must be there."""
        for _ in range(steps_max):
            if self.forwarder.step() is None:
                return
        raise AssertionError(f"still not delivered: {self.told.all[-3:]}")


@contextlib.contextmanager
def remote(house: House, port: int) -> Iterator[Remote]:
    remote = Remote(house.folder, f"http://127.0.0.1:{port}", house.token)
    yield remote
    remote.close()


def both_pass(house: House, bench: Remote, seconds: float) -> None:
    house.clock.advance(timedelta(seconds=seconds))
    bench.watch.pass_s(seconds)


# Outages


def test_a_read_at_a_remote_bench_is_decided_by_the_floor(house: House) -> None:
    (code,) = house.job()
    with house.listening() as server, remote(house, server.port) as bench:
        id = bench.read(code, "pretreat booth")
        bench.deliver()
    assert bench.told.all == [("reached",), ("answer", id, "accepted")]
    assert house.row(id).occurred_at == MONDAY


@pytest.mark.fault
def test_a_piece_that_was_walked_while_the_floor_was_away_is_finished_when_it_is_back(house: House) -> None:
    (code,) = house.job()
    with house.listening() as server:
        port = server.port
    with remote(house, port) as bench:
        sent = []
        for station, after_s in DARK_WALK:
            both_pass(house, bench, after_s)
            sent.append((bench.read(code, station), house.clock.now()))
            assert bench.forwarder.step()
            assert bench.forwarder.failing
        both_pass(house, bench, 2 * 86_400)
        bench.reboot(off_s=60)
        house.clock.advance(timedelta(seconds=60))
        with house.listening(port):
            bench.deliver()
    assert [house.row(id).occurred_at for id, _ in sent] == [moment for _, moment in sent]
    with house.service.reading() as floor:
        assert floor.pieces[code].state == "finished"
    check({id for id, _ in sent}, set(), house.rows())


@pytest.mark.fault
def test_a_floor_that_comes_and_goes_has_each_read_once_and_in_order(house: House) -> None:
    with house.listening() as server:
        port = server.port
    with remote(house, port) as bench:
        ids = []
        for turn in range(6):
            ids += [bench.read(f"{turn}{n}") for n in range(5)]
            both_pass(house, bench, 60)
            if turn % 2:
                with house.listening(port):
                    bench.deliver()
            else:
                bench.forwarder.step()
    assert [row.read_id for row in house.rows()] == ids
    check(set(ids), set(), house.rows())


@pytest.mark.fault
def test_an_answer_that_is_lost_on_the_way_leaves_one_row(house: House) -> None:
    """The floor records, the connection breaks before the answer: the read is sent again with its id."""
    with house.listening() as server, remote(house, server.port) as bench:
        ids = [bench.read(str(n)) for n in range(3)]

        def record_and_hang_up(scan: Scan) -> Any:
            house.service.scan(scan)
            raise OSError("the answer got lost")

        house.scan = record_and_hang_up
        for _ in range(3):
            bench.forwarder.step()
        assert reads(bench.spool) != []
        house.scan = house.service.scan
        bench.deliver()
    assert sorted(row.read_id for row in house.rows() if row.read_id) == ids
    check(set(ids), set(), house.rows())


@pytest.mark.fault
@pytest.mark.parametrize("off", [timedelta(hours=-5), timedelta(hours=5), timedelta(days=-56 * 365)])
def test_a_bench_whose_clock_is_off_by_hours_tells_the_right_time_all_the_same(house: House, off: timedelta) -> None:
    with house.listening() as server, remote(house, server.port) as bench:
        bench.watch.set(MONDAY + off)
        id = bench.read("12")
        both_pass(house, bench, 3 * 3_600)
        bench.deliver()
    assert house.row(id).occurred_at == MONDAY


@pytest.mark.fault
def test_a_clock_that_is_put_right_between_read_and_delivery_does_no_harm(house: House) -> None:
    with house.listening() as server, remote(house, server.port) as bench:
        bench.watch.set(MONDAY - timedelta(days=20_000))
        id = bench.read("12")
        both_pass(house, bench, 600)
        bench.watch.set(house.clock.now())
        bench.deliver()
    assert house.row(id).occurred_at == MONDAY


def test_a_revoked_bench_keeps_its_reads_and_delivers_them_with_a_new_token(house: House) -> None:
    with house.listening() as server:
        tokens = [house.token]
        post = HttpPost(server.url, lambda: tokens[-1])
        told = Told()
        with Spool(house.folder / "spool", Watch()) as spool, closing(post):
            forwarder = Forwarder(spool, post, Watch(), told.notices, luck=lambda: 0.0)
            house.benches.revoke("north")
            spool.put(Scan(read_id="read-000001", text="12", at=MONDAY, device="gun"))
            assert forwarder.step() == 30.0
            assert len(spool) == 1
            tokens.append(house.benches.add("north", MONDAY))
            assert forwarder.step() == 0.0
            assert len(spool) == 0
    assert told.kinds() == ["unreached", "reached", "answer"]


def test_damaged_reads_are_told_with_what_is_to_be_done_about_them(tmp_path: Path) -> None:
    place = Place("http://127.0.0.1:9", tmp_path / "token", tmp_path / "bench.spool")
    place.token_file.write_text("t" * 32)
    whole = filled(place.spool, *FIVE)
    place.spool.write_bytes(whole.replace(b"read-000002", b"read-000009"))
    stop, said = Event(), list[str]()
    stop.set()
    run_bench([], place, SetClock(MONDAY), said.append, stop)
    assert "Damaged records of the spool: 1. Those reads do not reach the floor." in said[0]
    assert f"{place.spool}.bad" in said[0]
    assert any("Reads that wait: 4" in line for line in said)
