"""`bench` and `listen`, as a person runs them."""

import contextlib
import json
import os
import pty
import socket
import subprocess
import sys
import tty
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from queue import Empty, Queue
from threading import Thread

import pytest
from click.testing import CliRunner

from floor.cli.bench import listen
from floor.cli.groups import bench
from floor.cli.opening import Folder
from scanners.spool import Spool
from shared.clock import SetClock
from tests.floor.web import rig
from tests.floor.web.rig import House
from tests.making import MONDAY, NEW_SHOP
from tests.measured import WAIT_S, assert_within, seconds
from tests.scanners.remote_rig import Watch, reads

ROOT = Path(__file__).parent.parent.parent.parent


@pytest.fixture
def house() -> Iterator[House]:
    with rig.sqlite_house() as house:
        yield house


class Listen:
    """`piecewalk listen`, as a process of its own, with a pseudo-terminal as its scanner."""

    def __init__(self, shop: Path, url: str) -> None:
        self.gun, port = pty.openpty()
        tty.setraw(self.gun)
        tty.setraw(port)
        scanner = f'\n[[scanners]]\nname = "press gun"\nport = "{os.ttyname(port)}"\nstation = "press 1"\n'
        (shop / "shop.toml").write_text(NEW_SHOP.read_text(encoding="utf-8") + scanner, encoding="utf-8")
        command = ["--shop", str(shop), "listen", "--to", url, "--token-file", str(shop / "token"), "--json"]
        program = "from floor.cli.bench import *; from floor.cli.main import main; "
        program += "main()"
        self.process = subprocess.Popen(
            [sys.executable, "-c", program, *command], stdout=subprocess.PIPE, text=True, cwd=ROOT
        )
        os.close(port)
        self._lines: Queue[str] = Queue()
        self._thread = Thread(target=self._collect)
        self._thread.start()

    def _collect(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self._lines.put(json.loads(line)["say"])

    def until(self, words: str) -> str:
        """The next line that has these words in it."""
        with contextlib.suppress(Empty):
            while words not in (line := self._lines.get(timeout=WAIT_S)):
                pass
            return line
        raise AssertionError(f"the bench never said {words!r}")

    def type(self, text: str) -> None:
        os.write(self.gun, text.encode())

    def terminate(self) -> int:
        """SIGTERM: the exit status."""
        self.process.terminate()
        return self.process.wait(WAIT_S)

    def close(self) -> None:
        self.process.kill()
        self.process.wait(WAIT_S)
        self._thread.join(WAIT_S)
        os.close(self.gun)
        assert self.process.stdout is not None
        self.process.stdout.close()


def test_the_whole_way_from_gun_to_ledger_with_the_floor_coming_late(house: House) -> None:
    shop = house.folder / "bench"
    shop.mkdir()
    (shop / "token").write_text(house.token)
    with house.listening() as server:
        port = server.port
    with closing(Listen(shop, f"http://127.0.0.1:{port}")) as listen:
        listen.until("press gun is there")
        listen.type("12\r")
        listen.until("press 1: 12: kept")
        with house.listening(port):
            listen.until("press 1: 12: refused")
            listen.type("34\r")
            listen.until("press 1: 34: refused")
        listen.type("56\r" * 3)
        for _ in range(3):
            listen.until("press 1: 56: kept")
        listen.type("half a co")
        assert listen.terminate() == 0
        assert listen.until("The bench is closed").endswith(": 3.")
    with Spool(shop / "bench.spool", Watch()) as spool:
        assert {scan.text for scan in reads(spool)} == {"56"}
    assert [row.event.read.text for row in house.rows()] == ["12", "34"]  # type: ignore[attr-defined]


@pytest.mark.alone
@pytest.mark.fault
@pytest.mark.parametrize("answers", ["never", "not any more"])
def test_a_floor_that_does_not_answer_keeps_no_bench_from_stopping(tmp_path: Path, answers: str) -> None:
    (tmp_path / "token").write_text("x" * 43)
    with closing(socket.create_server(("127.0.0.1", 0))) as silent:
        url = f"http://127.0.0.1:{silent.getsockname()[1]}"
        if answers == "not any more":
            silent.close()

        def stopping_s() -> float:
            with closing(Listen(tmp_path, url)) as listen:
                listen.until("press gun is there")
                listen.type("12\r56\rhalf a co")
                listen.until("press 1: 56: kept")
                took_s = seconds(listen.terminate)
                assert listen.process.returncode == 0
            return took_s

        assert_within(3, stopping_s)


# Commands


def test_a_bench_is_added_listed_and_revoked(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(NEW_SHOP.read_text(encoding="utf-8"), encoding="utf-8")
    shop = Folder(tmp_path, SetClock(MONDAY))
    runner = CliRunner()
    token = runner.invoke(bench, ["add", "north"], obj=shop).stdout.strip()
    assert len(token) == 43
    listed = runner.invoke(bench, ["list", "--json"], obj=shop)
    assert [each["bench"] for each in json.loads(listed.stdout)["benches"]] == ["north"]
    assert token not in listed.stdout
    assert runner.invoke(bench, ["revoke", "north"], obj=shop).exit_code == 0
    assert json.loads(runner.invoke(bench, ["list", "--json"], obj=shop).stdout) == {"benches": []}


def test_what_a_bench_cannot_do_without_is_said(tmp_path: Path) -> None:
    scanner = '\n[[scanners]]\nname = "gun"\nport = "stdin"\n'
    (tmp_path / "shop.toml").write_text(NEW_SHOP.read_text(encoding="utf-8") + scanner, encoding="utf-8")
    token = tmp_path / "token"
    token.write_text("x" * 43)
    plain = {"--to": "http://127.0.0.1:1", "--token-file": str(token)}
    for wrong, words in [
        ({"--to": "floor.local"}, "is no address of a floor"),
        ({"--token-file": str(tmp_path / "none")}, "cannot be read"),
        ({"--token-file": str(tmp_path / "shop.toml")}, "holds no token"),
        ({"--spool": str(tmp_path)}, "is no file"),
        ({"--scanner": "press gun"}, "There is no scanner"),
    ]:
        options = [part for option in {**plain, **wrong}.items() for part in option]
        result = CliRunner().invoke(listen, options, obj=Folder(tmp_path, SetClock(MONDAY)))
        assert (result.exit_code, words in result.stderr) == (1, True), result.output


def test_a_shop_file_without_scanners_has_nothing_to_listen_to(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(NEW_SHOP.read_text(encoding="utf-8"), encoding="utf-8")
    result = CliRunner().invoke(
        listen, ["--to", "http://x", "--token-file", "x"], obj=Folder(tmp_path, SetClock(MONDAY))
    )
    assert (result.exit_code, "names no scanner" in result.stderr) == (1, True)
