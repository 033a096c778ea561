"""`piecewalk run`, as a process of its own, with a pseudo-terminal as its scanner."""

import json
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from queue import Empty, Queue
from threading import Thread

import pytest
import urllib3

from floor.cli.opening import Folder
from floor.doors.shop_change import CHANGED
from floor.running import open_floor
from floor.service import timekeeper
from floor.service.lock import AlreadyRunning, floor_lock, is_running
from floor.service.watching import Watcher
from shared.clock import SystemClock
from tests.floor.cli.desk import Desk
from tests.measured import WAIT_S
from tests.scanners.rig import PtyScanner


class Run:
    """A floor that runs, and a gun on a wire."""

    def __init__(self, process: "subprocess.Popen[str]", gun: PtyScanner) -> None:
        self.process, self.gun = process, gun
        self.lines: Queue[str] = Queue()
        Thread(target=self._collect, daemon=True).start()

    def _collect(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.put(json.loads(line)["say"])

    def until(self, words: str) -> str:
        """The next line that has these words in it."""
        while True:
            try:
                line = self.lines.get(timeout=WAIT_S)
            except Empty:
                raise AssertionError(f"the floor never said {words!r}") from None
            if words in line:
                return line

    def type(self, text: str) -> None:
        self.gun.send(text.encode() + b"\r")

    def end(self, how: signal.Signals) -> int:
        self.process.send_signal(how)
        return self.process.wait(WAIT_S)


@contextmanager
def running(desk: Desk, scanner: str = 'station = "pretreat booth"') -> Iterator[Run]:
    gun = PtyScanner(desk.folder / "gun")
    gun.plug_in()
    settings = (desk.shop / "shop.toml").read_text(encoding="utf-8").replace("127.0.0.1:8765", "127.0.0.1:0")
    settings += f'\n[[scanners]]\nname = "gun"\nport = "{gun.path}"\n{scanner}\n'
    (desk.shop / "shop.toml").write_text(settings, encoding="utf-8")
    command = [sys.executable, "-m", "floor.cli", "--shop", str(desk.shop), "run", "--json"]
    with (
        (desk.folder / "stderr").open("w+", encoding="utf-8") as complaints,
        subprocess.Popen(command, stdout=subprocess.PIPE, stderr=complaints, text=True) as process,
    ):
        run = Run(process, gun)
        try:
            run.until("gun is there")
            yield run
        finally:
            process.kill()
            gun.unplug()
        complaints.seek(0)
        assert complaints.read() == "", "the floor complained"


def alarms_become(desk: Desk, kinds: set[str]) -> bool:
    """Whether the alarms on the board come to be of these kinds, before long."""
    folder = Folder(desk.shop, desk.clock)
    with folder.ledger() as ledger:
        watcher = Watcher(ledger, folder.shop, desk.clock)
        for _ in range(40):
            board = watcher.board()
            if {alarm.kind for alarm in board.alarms} == kinds:
                return True
            ledger.wait_for_news(board.seq, 1.0)
    return False


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path, SystemClock())  # by which a process of its own goes too


def test_a_ticket_that_is_scanned_at_a_station_is_on_the_board(desk: Desk) -> None:
    piece = desk.job()[0]
    with running(desk) as run:
        run.type(f"]C0{piece}")
        assert "accepted: Pretreated. Next: underlayer at printer 1" in run.until("pretreat booth")
        assert desk.json("piece", piece)["next"] == "underlayer"


def test_an_answered_scan_outlives_kill_9(desk: Desk) -> None:
    piece = desk.job()[0]
    with running(desk) as run:
        run.type(piece)
        run.until("accepted")
        run.end(signal.SIGKILL)
    assert desk.json("piece", piece)["next"] == "underlayer"
    assert desk.json("check")["good"] is True


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT])
def test_the_floor_closes_when_it_is_asked_to_with_half_a_frame_on_the_wire(desk: Desk, how: signal.Signals) -> None:
    with running(desk) as run:
        run.gun.send(b"10000")
        assert run.end(how) == 0
        run.until("closed")


def test_a_roaming_scanner_takes_the_station_of_the_card_it_read(desk: Desk) -> None:
    piece = desk.job()[0]
    cards = {card["name"]: card["code"] for card in desk.json("cards", "-o", str(desk.folder / "cards.pdf"))["cards"]}
    with running(desk, scanner="") as run:
        run.type(piece)
        assert "has no station yet" in run.until("refused")
        run.type(cards["pretreat booth"])
        run.until("Now at pretreat booth")
        run.type(piece)
        run.until("accepted: Pretreated")


def test_a_scanner_that_is_pulled_out_is_on_the_wall_until_it_is_back(desk: Desk) -> None:
    with running(desk) as run:
        run.gun.unplug()
        assert alarms_become(desk, {"scanner absent"})
        run.gun.plug_in()
        assert alarms_become(desk, set())


def test_two_floors_never_run_on_one_folder(desk: Desk) -> None:
    with floor_lock(desk.shop):
        assert is_running(desk.shop)
        with pytest.raises(AlreadyRunning):
            floor_lock(desk.shop).__enter__()
        result = desk("run")
        assert result.exit_code == 1
        assert "running already" in result.stderr
    assert not is_running(desk.shop)


def test_a_floor_whose_shop_file_is_changed_says_so_by_itself_and_on_the_pages(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(timekeeper, "EACH_MINUTE_S", 0.2)
    desk.rewrite("127.0.0.1:8765", "127.0.0.1:0")
    said: Queue[str] = Queue()
    with Folder(desk.shop, desk.clock).service() as service, open_floor(service, desk.shop, said.put):
        address = said.get(timeout=WAIT_S).rpartition(" ")[2]
        desk.rewrite("min_s = 180 ", "min_s = 240 ")
        assert said.get(timeout=WAIT_S) == f"{CHANGED}."
        page = urllib3.request("GET", f"{address}/jobs", headers={"Accept": "text/html"}, timeout=WAIT_S)
        assert CHANGED in page.data.decode()
        assert service.shop.file.steps["cure"].min_s == 180


def test_a_remake_s_ticket_is_printed_by_the_shop_s_printer_command(desk: Desk) -> None:
    printed = desk.folder / "printed.pdf"
    file = desk.shop / "shop.toml"
    text = file.read_text(encoding="utf-8").replace("[shop]", f"[shop]\nprint_command = \"cp {{file}} '{printed}'\"", 1)
    file.write_text(text, encoding="utf-8")
    piece = desk.job()[0]
    cards = {card["name"]: card["code"] for card in desk.json("cards", "-o", str(desk.folder / "cards.pdf"))["cards"]}
    with running(desk) as run:
        run.type(cards["banding"])
        run.type(piece)
        run.until("Spoiled: banding")
        assert run.end(signal.SIGTERM) == 0
    assert printed.read_bytes().startswith(b"%PDF")
