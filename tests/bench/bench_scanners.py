"""Fifty scanners on pseudo-terminals at a floor of its own process: from the last byte typed to the answer's byte.

python -m tests.bench.bench_scanners [SECONDS]
"""

import os
import selectors
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from itertools import count
from pathlib import Path
from statistics import quantiles

from floor.cli.opening import Folder
from shared.clock import SystemClock
from shared.files.jobfile import parse_job
from tests.floor.cli.desk import Desk
from tests.making import job_data
from tests.scanners.rig import PtyScanner

SCANNERS = 50
EACH_PER_S = 4
PIECES = 240
IDLE_S = 10
JIFFY_S = 1 / os.sysconf("SC_CLK_TCK")


def measure(seconds: float = 60) -> dict[str, float]:
    """Scans answered and recorded, milliseconds to their answers, and the processor time of a quiet floor."""
    with tempfile.TemporaryDirectory() as folder, ExitStack() as stack:
        desk = Desk(Path(folder), SystemClock())
        pieces = _pieces(desk)
        guns = [PtyScanner(Path(folder) / f"gun{n}") for n in range(SCANNERS)]
        for gun in guns:
            gun.plug_in()
            stack.callback(gun.unplug)
        with _running(desk, guns) as process:
            idle = _idle_share(process.pid)
            before = _reads(desk)
            waits_s = list(_scan_for(seconds, guns, pieces))
        recorded = _reads(desk) - before
    at = quantiles(waits_s, n=100)
    return {
        "scans answered": len(waits_s),
        "scans recorded": recorded,
        "scan to answer p50 ms": 1_000 * at[49],
        "scan to answer p99 ms (aim: 50)": 1_000 * at[98],
        "idle, % of one core (aim: 3)": 100 * idle,
    }


def _pieces(desk: Desk) -> list[str]:
    with Folder(desk.shop, desk.clock).service() as service:
        return list(service.take(parse_job(job_data(sizes={"M": PIECES}), service.shop)).pieces)


@contextmanager
def _running(desk: Desk, guns: list[PtyScanner]) -> Iterator["subprocess.Popen[str]"]:
    file = desk.shop / "shop.toml"
    settings = file.read_text(encoding="utf-8").replace("127.0.0.1:8765", "127.0.0.1:0")
    stations = ("pretreat booth", "printer 1", "inspection", "press 1", "packing")
    for n, gun in enumerate(guns):
        settings += (
            f'\n[[scanners]]\nname = "gun {n}"\nport = "{gun.path}"\nstation = "{stations[n % 5]}"\nanswers = true\n'
        )
    file.write_text(settings, encoding="utf-8")
    command = [sys.executable, "-m", "floor.cli", "--shop", str(desk.shop), "run"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        there = 0
        while there < len(guns):
            there += "is there" in process.stdout.readline()
        silencer = subprocess.Popen(["cat"], stdin=process.stdout, stdout=subprocess.DEVNULL)
        try:
            yield process
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(10)
            silencer.wait(10)


def _idle_share(pid: int) -> float:
    before, start = _cpu_s(pid), time.monotonic()
    time.sleep(IDLE_S)
    return (_cpu_s(pid) - before) / (time.monotonic() - start)


def _cpu_s(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) * JIFFY_S


def _reads(desk: Desk) -> int:
    with Folder(desk.shop, desk.clock).ledger() as ledger:
        return sum(1 for row in ledger.rows() if row.read_id is not None)


def _scan_for(seconds: float, guns: list[PtyScanner], pieces: list[str]) -> Iterator[float]:
    """Each gun types a piece, every quarter of a second, its own and never the one before."""
    start = time.perf_counter()
    with selectors.DefaultSelector() as answers:
        for gun in guns:
            answers.register(gun.fileno(), selectors.EVENT_READ, gun)
        sent: dict[PtyScanner, float] = {}
        for turn in count():
            due = start + turn / (EACH_PER_S * len(guns))
            if due > start + seconds and not sent:
                return
            while (left_s := due - time.perf_counter()) > 0 or (due > start + seconds and sent):
                yield from _heard(answers, sent, max(left_s, 0.001))
            if due <= start + seconds:
                gun = guns[turn % len(guns)]
                while gun in sent:
                    yield from _heard(answers, sent, 1.0)
                gun.send(pieces[(turn // len(guns) + 5 * turn) % len(pieces)].encode() + b"\r")
                sent[gun] = time.perf_counter()


def _heard(answers: selectors.BaseSelector, sent: dict[PtyScanner, float], wait_s: float) -> Iterator[float]:
    for key, _ in answers.select(wait_s):
        os.read(key.fd, 64)
        if key.data in sent:
            yield time.perf_counter() - sent.pop(key.data)


if __name__ == "__main__":
    for name, value in measure(float(sys.argv[1]) if len(sys.argv) > 1 else 60).items():
        print(f"{name:<40} {value:>12,.2f}")
