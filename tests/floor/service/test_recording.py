"""A floor that cannot record says so everywhere, and goes on by itself when it can again."""

import subprocess
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from pathlib import Path
from threading import Event
from typing import Any

import pytest

from floor import running
from floor.cli.opening import Folder
from floor.ledger import Busy, Ledger, Missing, Stopped, Unavailable, make_ledger
from floor.service.recording import SAY_EACH, Recording, RecordingWatch, records
from tests.floor.cli.desk import Desk
from tests.floor.ledger.facts import a_read, append
from tests.floor.ledger.test_postgres import in_recovery, pg_ctl
from tests.floor.web import rig
from tests.floor.web.rig import House, read

ALARM = "NOTHING IS RECORDED"


class Bench:
    """A recording whose next tries fail or not, as they are told to, and what is said of them."""

    def __init__(self, folder: Path) -> None:
        self.recording = Recording()
        self.error: Exception | None = None
        self.said: list[str] = []
        self.watch = RecordingWatch(self.recording, self.prove, folder, self.said.append)

    def prove(self) -> None:
        if self.error:
            self.recording.failed(self.error)
            raise self.error
        self.recording.worked()

    def look(self, times: int = 1) -> None:
        for _ in range(times):
            self.watch.look()


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path)


def test_while_all_is_well_nothing_is_said(bench: Bench, tmp_path: Path) -> None:
    bench.look(30)
    assert bench.said == []
    assert records(tmp_path)


def test_it_is_said_at_once_and_once_a_minute_and_when_it_is_over(bench: Bench, tmp_path: Path) -> None:
    bench.error = Unavailable("ledger.db: make room on the disk")
    bench.look()
    assert bench.said == [f"{ALARM}: ledger.db: make room on the disk"]
    assert not records(tmp_path)
    bench.look(SAY_EACH - 1)
    assert len(bench.said) == 1
    bench.look()
    assert len(bench.said) == 2
    bench.error = None
    bench.look()
    assert bench.said[2:] == ["Reads are recorded again."]
    assert records(tmp_path)
    bench.look()
    assert len(bench.said) == 3


@pytest.mark.parametrize("error", [Busy("1000 wait"), Stopped("closing"), ValueError("no fact")])
def test_what_is_not_the_ledgers_fault_is_no_alarm(error: Exception) -> None:
    recording = Recording()
    recording.failed(error)
    assert recording.trouble == ""


def test_who_follows_is_told_of_each_change_once() -> None:
    recording, told = Recording(), list[str]()
    recording.follow(lambda: told.append(recording.trouble))
    for trouble in ("gone", "still gone"):
        recording.failed(Missing(trouble))
    recording.worked()
    recording.worked()
    assert told == ["gone", ""]


def test_where_no_floor_ever_ran_nothing_is_wrong(tmp_path: Path) -> None:
    assert records(tmp_path)


# A floor whose ledger comes to grief


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    with closing(make_ledger(f"sqlite:///{tmp_path}/ledger.db")) as made:
        yield made


@pytest.fixture
def house(tmp_path: Path, ledger: Ledger) -> Iterator[House]:
    with rig.house(tmp_path, ledger) as floor:
        yield floor


def assert_in_alarm(house: House) -> None:
    assert house.post(read(77)).status == 503
    ready = house.get("/readyz")
    assert (ready.status, ready.json["ready"]) == (503, False)
    host = {"Host": "localhost"}
    assert "piecewalk_recording 0.0" in house.get("/metrics", headers=host).body.decode()
    for page in ("/wall", "/station/press 1"):
        assert ALARM in house.get(page, headers=host).body.decode()


def assert_well(house: House) -> None:
    assert house.get("/readyz").status == 200, house.service.recording.trouble
    host = {"Host": "localhost"}
    assert "piecewalk_recording 1.0" in house.get("/metrics", headers=host).body.decode()
    for page in ("/wall", "/station/press 1"):
        assert ALARM not in house.get(page, headers=host).body.decode()
    assert house.post(read(77)).status == 200
    assert house.post(read(78)).status == 200


@contextmanager
def deleted(folder: Path) -> Iterator[None]:
    (folder / "ledger.db").rename(folder / "aside.db")
    yield
    (folder / "aside.db").rename(folder / "ledger.db")


@contextmanager
def replaced(folder: Path) -> Iterator[None]:
    (folder / "ledger.db").rename(folder / "aside.db")
    make_ledger(f"sqlite:///{folder}/ledger.db").close()
    yield
    (folder / "aside.db").replace(folder / "ledger.db")


@pytest.mark.fault
@pytest.mark.parametrize("fault", [deleted, replaced])
def test_a_floor_that_lost_its_ledger_is_in_alarm_until_it_is_back(
    house: House, tmp_path: Path, fault: Callable[[Path], AbstractContextManager[None]]
) -> None:
    assert house.post(read(1)).status == 200
    with fault(tmp_path):
        assert_in_alarm(house)
    assert_well(house)
    assert {row.read_id for row in house.rows()} == {"read-000001", "read-000077", "read-000078"}


@contextmanager
def stopped(server: Any) -> Iterator[None]:
    pg_ctl(server, "-m", "immediate", "stop")
    try:
        yield
    finally:
        server.ensure_postgres_running()


@contextmanager
def filled(disk: Path) -> Iterator[None]:
    ballast = disk / "ballast"
    with ballast.open("wb", buffering=0) as file:
        try:
            while file.write(b"x" * 4096):
                pass
        except OSError:
            pass
    yield
    ballast.unlink()


@pytest.mark.fault
@pytest.mark.root
def test_a_quiet_floor_whose_disk_is_full_is_in_alarm_until_there_is_room(small_disk: Path, tmp_path: Path) -> None:
    with closing(make_ledger(f"sqlite:///{small_disk}/ledger.db")) as ledger, rig.house(tmp_path, ledger) as house:
        assert house.post(read(1)).status == 200
        with filled(small_disk):
            assert house.get("/readyz").status == 503, "nobody has scanned, and it is not ready all the same"
            assert_in_alarm(house)
        assert_well(house)


@pytest.mark.fault
@pytest.mark.root
def test_a_disk_that_was_made_read_only_is_written_to_again_when_it_may_be(small_disk: Path) -> None:
    with closing(make_ledger(f"sqlite:///{small_disk}/ledger.db")) as ledger:
        append(ledger, a_read("r-1"))
        ledger.close()  # a disk with a file that is open for writing is not made read-only
        subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
        for _ in range(2):
            with pytest.raises(Unavailable):
                ledger.rehearse()
        subprocess.run(["mount", "-o", "remount,rw", str(small_disk)], check=True)
        append(ledger, a_read("r-2"))
        assert [row.read_id for row in ledger.rows()] == ["r-1", "r-2"]


@pytest.mark.fault
@pytest.mark.postgres
@pytest.mark.parametrize("fault", [stopped, in_recovery])
def test_a_floor_whose_server_goes_away_is_in_alarm_until_it_is_back(
    postgres_url: str, postgres_server: Any, tmp_path: Path, fault: Callable[[Any], AbstractContextManager[None]]
) -> None:
    with closing(make_ledger(postgres_url)) as ledger, rig.house(tmp_path, ledger) as house:
        assert house.post(read(1)).status == 200
        with house.service.watcher.looking():
            pass  # as the timekeeper does when a floor starts
        with fault(postgres_server):
            assert_in_alarm(house)
        assert_well(house)
        assert {row.read_id for row in house.rows()} == {"read-000001", "read-000077", "read-000078"}


@pytest.mark.fault
def test_a_floor_that_cannot_record_from_the_start_says_so_and_not_that_it_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stop, said = Event(), list[str]()
    stop.set()
    monkeypatch.setattr(running, "stop_event", lambda: stop)
    desk = Desk(tmp_path)
    desk.rewrite("127.0.0.1:8765", "127.0.0.1:0")
    with Folder(desk.shop, desk.clock).service() as service:
        with deleted(desk.shop), pytest.raises(Missing):
            running.run_floor(service, desk.shop, said.append)
        assert said == []
        running.run_floor(service, desk.shop, said.append)
    assert any("the floor runs" in line for line in said)
