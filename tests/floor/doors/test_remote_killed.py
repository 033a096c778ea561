"""A remote bench that is killed at every point, twice in a row: nothing is lost, nothing doubled."""

import json
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.floor.doors.killed_bench import POINTS
from tests.floor.web import rig
from tests.floor.web.rig import House
from tests.measured import WAIT_S
from tests.simulation.checker import check

ROOT = Path(__file__).parent.parent.parent.parent


@pytest.fixture
def house() -> Iterator[House]:
    with rig.sqlite_house() as house:
        yield house


class Bench:
    """Runs benches that kill themselves, and notes outside of them what they acknowledged."""

    def __init__(self, url: str, token: str, folder: Path) -> None:
        self._job = {"url": url, "token": token, "spool": str(folder / "bench.spool")}
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.floor.doors.killed_bench"],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        self._number = 0
        self.read: set[str] = set()
        self.acked: set[str] = set()
        self.waiting = -1

    def run(self, point: str | None, count: int) -> int:
        """Read so many codes, and be killed at a point; the exit status."""
        ids = [f"read-{self._number + n:06}" for n in range(count)]
        self._number += count
        assert self._process.stdin
        assert self._process.stdout
        self._process.stdin.write(json.dumps({**self._job, "point": point, "reads": ids}) + "\n")
        self._process.stdin.flush()
        for line in self._process.stdout:
            said = json.loads(line)
            what, _, detail = said["what"].partition(": ")
            if what == "ended":
                return int(detail)
            self._note(what, detail, said["read_id"])
        raise AssertionError("the benches ended")

    def _note(self, what: str, detail: str, read_id: str) -> None:
        if what == "read":
            self.read.add(read_id)
        elif what == "waiting":
            self.waiting = int(detail)
        else:
            assert what in {"answered", "refused"}, f"{what} {detail} {read_id}"
            self.acked.add(read_id)

    def close(self) -> None:
        assert self._process.stdin
        assert self._process.stdout
        self._process.stdin.close()
        assert self._process.wait(WAIT_S) == 0
        self._process.stdout.close()


@pytest.mark.fault
def test_a_bench_that_is_killed_at_any_two_points_in_a_row_loses_nothing_and_doubles_nothing(house: House) -> None:
    with house.listening() as server, closing(Bench(server.url, house.token, house.folder)) as bench:
        for first in POINTS:
            for second in POINTS:
                assert bench.run(first, 3) == bench.run(second, 3) == -signal.SIGKILL, f"{first}, {second}"
                assert bench.run(None, 1) == 0
                assert bench.waiting == 0, f"{first}, {second}: reads were left in the spool"
                check(bench.acked, bench.read - bench.acked, house.rows())
    assert not (house.folder / "bench.spool.bad").exists(), "a whole record was taken for a damaged one"
