"""A floor that is told to stop stops: well, soon, and at any moment of its life."""

import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from threading import Thread
from typing import IO

import pytest

from floor.ledger import open_ledger
from floor.ledger.check import first_trouble
from floor.service.stopping import Asked
from tests.floor.cli.desk import Desk
from tests.measured import WAIT_S, assert_within, give_up_after, seconds

pytestmark = [
    pytest.mark.fault,
    pytest.mark.skipif(
        not Path("/proc/self/status").exists(), reason="the moments of a start were NOT tested: no /proc"
    ),
]
PROMISED_S = 3.0
TICKS = (0, 20, 40, 60, 90, 120)
"""Hundredths of a second of computing, so that a slow machine stops at the same moments as a quick one."""
A_TICK_S = 0.01


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    desk = Desk(tmp_path_factory.mktemp("desk"))
    desk.rewrite("127.0.0.1:8765", "127.0.0.1:0")
    desk.job()
    return desk.shop


@contextmanager
def started(*words: str, stdout: IO[str] | int = subprocess.PIPE) -> Iterator["subprocess.Popen[str]"]:
    command = [sys.executable, *words]
    with subprocess.Popen(command, stdout=stdout, stderr=subprocess.PIPE, text=True) as process:
        try:
            yield process
        finally:
            process.kill()


def hears_signals(process: "subprocess.Popen[str]") -> bool:
    """Whether it has said what is to happen at SIGTERM: before that the interpreter itself is being loaded."""
    status = Path(f"/proc/{process.pid}/status").read_text(encoding="ascii")
    [caught] = [line.split()[1] for line in status.splitlines() if line.startswith("SigCgt:")]
    return bool(int(caught, 16) >> (signal.SIGTERM - 1) & 1)


def computed_ticks(process: "subprocess.Popen[str]") -> int:
    fields = Path(f"/proc/{process.pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return int(fields[11]) + int(fields[12])


def wait_until_it_computed(process: "subprocess.Popen[str]", ticks: int, said: Path) -> None:
    """Or until it is up and computes no more, on a machine that is quicker than the last of the moments."""
    give_up = give_up_after(WAIT_S)
    while not hears_signals(process) or not (computed_ticks(process) >= ticks or "the floor runs" in said.read_text()):
        with suppress(subprocess.TimeoutExpired):
            process.wait(A_TICK_S)
        assert process.poll() is None, "it ended by itself"
        assert not give_up(), "it did not get that far"


@pytest.mark.parametrize("ticks", TICKS)
@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT])
def test_a_floor_that_is_stopped_while_it_starts_ends_well(
    shop: Path, ticks: int, how: signal.Signals, tmp_path: Path
) -> None:
    said = tmp_path / "said"
    with (
        said.open("w") as stdout,
        started("-m", "floor.cli", "--shop", str(shop), "run", stdout=stdout) as process,
    ):
        wait_until_it_computed(process, ticks, said)
        process.send_signal(how)
        _, complaints = process.communicate(timeout=WAIT_S)
    assert (process.returncode, complaints) == (0, "")
    with closing(open_ledger(f"sqlite:///{shop}/ledger.db")) as ledger:
        assert first_trouble(ledger) is None


def test_an_end_that_is_asked_for_just_before_it_is_waited_for_is_heard() -> None:
    """What a signal's handler sets then wakes nobody: here the flag is set, and nobody is told."""
    stop, give_up = Asked(), give_up_after(WAIT_S)
    thread = Thread(target=stop.wait, daemon=True)
    thread.start()
    while not vars(vars(stop)["_cond"])["_waiters"]:
        assert not give_up(), "it does not wait"
    setattr(stop, "_flag", True)  # noqa: B010  # no attribute that others should know
    thread.join(WAIT_S)
    assert not thread.is_alive()


HANGING = """
import sys
from threading import Event
from floor.service.stopping import stop_event
stop = stop_event()
print("up", flush=True)
stop.wait()
Event().wait()
"""


@pytest.mark.alone
@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT])
def test_whatever_will_not_end_is_not_waited_for(how: signal.Signals) -> None:
    def stopping_s() -> float:
        with started("-c", HANGING) as process:
            assert process.stdout is not None
            assert process.stdout.readline() == "up\n"
            process.send_signal(how)
            took_s = seconds(lambda: process.wait(WAIT_S))
            assert process.returncode == 0
        return took_s

    assert_within(PROMISED_S, stopping_s)
