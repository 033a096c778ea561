"""Fifty open pages at a floor of its own process while 200 scans a second are posted to it.

python -m tests.bench.bench_pages [SECONDS] [PAGES]; memory wants to be watched for 600.
"""

import asyncio
import json
import re
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from itertools import count
from pathlib import Path
from statistics import quantiles
from uuid import uuid4

from floor.cli.opening import Folder
from floor.doors.benches import Benches
from shared.clock import SystemClock
from shared.files.jobfile import parse_job
from tests.floor.cli.desk import Desk
from tests.making import job_data

SECONDS, PAGES = 15.0, 50
ALONE_S_MAX = 30.0
"""Without pages it is only for comparison."""
DEAF = 5
"""Pages more, which never read what is sent to them."""
PER_S, POSTERS = 200, 25
PIECES = 90
WARM_UP_S = 3
STATIONS = ("pretreat booth", "printer 1", "inspection", "press 1", "packing")
STOP_S_MAX = 10
HOST = "127.0.0.1"


def measure(seconds: float = SECONDS, pages: int = PAGES) -> dict[str, float]:
    """Milliseconds to the answers without and with open pages, memory, what pages got, and how the end goes."""
    with tempfile.TemporaryDirectory() as name:
        desk = Desk(Path(name), SystemClock())
        pieces, token = _pieces(desk), Benches(desk.shop).add("north", SystemClock().now())
        with _running(desk) as (process, port):
            floor = _Floor(process.pid, port, token, pieces)
            alone = asyncio.run(floor.post_for(min(seconds, ALONE_S_MAX), 0))
            watched = asyncio.run(floor.post_for(seconds, pages))
            stop_s = asyncio.run(_stop_with_pages(floor, process, pages))
    return {
        **{f"without pages, {what}": value for what, value in alone.items()},
        **{f"{pages} pages, {what}": value for what, value in watched.items()},
        "p99 with pages / without": watched["p99 ms (aim: 60)"] / alone["p99 ms (aim: 60)"],
        "s to the end after SIGTERM, pages open (aim: 3)": stop_s,
    }


def _pieces(desk: Desk) -> list[str]:
    with Folder(desk.shop, desk.clock).service() as service:
        return list(service.take(parse_job(job_data(sizes={"M": PIECES}), service.shop)).pieces)


@contextmanager
def _running(desk: Desk) -> Iterator[tuple["subprocess.Popen[str]", int]]:
    file = desk.shop / "shop.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("127.0.0.1:8765", "127.0.0.1:0"), encoding="utf-8")
    command = [sys.executable, "-m", "floor.cli", "--shop", str(desk.shop), "run"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        port = next(int(found[1]) for line in process.stdout if (found := re.search(r"http://[\d.]+:(\d+)", line)))
        silencer = subprocess.Popen(["cat"], stdin=process.stdout, stdout=subprocess.DEVNULL)
        try:
            yield process, port
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(STOP_S_MAX)
            silencer.wait(STOP_S_MAX)


class _Floor:
    """A floor that runs, seen from outside."""

    def __init__(self, pid: int, port: int, token: str, pieces: list[str]) -> None:
        self._status = Path(f"/proc/{pid}/status")
        self._port = port
        self._token = token
        self._pieces = pieces
        self._numbers = count()

    async def post_for(self, seconds: float, pages: int) -> dict[str, float]:
        """Post at the rate, while pages are open: how long the answers took, what the pages and the memory did."""
        async with self.open_pages(pages) as news:
            await self._post(WARM_UP_S)
            seen, before_mib = len(news), self._memory_mib()
            at = quantiles(await self._post(seconds), n=100)
            grown = self._memory_mib() - before_mib
        heard = {"news to each page, a second": (len(news) - seen) / pages / seconds} if pages else {}
        return {"p50 ms": 1e3 * at[49], "p99 ms (aim: 60)": 1e3 * at[98], **heard, "memory grown MiB": grown}

    @asynccontextmanager
    async def open_pages(self, pages: int) -> AsyncIterator[list[int]]:
        """Open pages, most of them walls, and a few that never read; the sizes of all the news that came."""
        news: list[int] = []
        readers = [asyncio.create_task(self._read_page(n, news)) for n in range(pages)]
        deaf = [self._deaf_page() for _ in range(DEAF if pages else 0)]
        try:
            while len(news) < pages:
                await asyncio.sleep(0.01)
            yield news
        finally:
            for reader in readers:
                reader.cancel()
            for page in deaf:
                page.close()
            await asyncio.gather(*readers, return_exceptions=True)

    async def _read_page(self, number: int, news: list[int]) -> None:
        path = "/live/wall" if number % 5 else "/live/station/press%201"
        reader, writer = await asyncio.open_connection(HOST, self._port, limit=2**20)
        writer.write(_head("GET", path))
        while line := await reader.readline():
            if line.startswith(b"data:"):
                news.append(len(line))
        writer.close()

    def _deaf_page(self) -> socket.socket:
        page = socket.socket()
        page.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4_096)
        page.connect((HOST, self._port))
        page.sendall(_head("GET", "/live/wall"))
        return page

    async def _post(self, seconds: float) -> list[float]:
        """Seconds to the answer of every scan; each poster sends when its time has come, or as soon as it can."""
        start = time.perf_counter()
        posters = [self._poster(start + n / PER_S, seconds) for n in range(POSTERS)]
        return [wait_s for waits_s in await asyncio.gather(*posters) for wait_s in waits_s]

    async def _poster(self, first: float, seconds: float) -> list[float]:
        reader, writer = await asyncio.open_connection(HOST, self._port)
        waits_s = []
        for turn in range(round(seconds * PER_S / POSTERS)):
            due = first + turn * POSTERS / PER_S
            await asyncio.sleep(max(due - time.perf_counter(), 0))
            writer.write(self._scan())
            await _answer(reader)
            waits_s.append(time.perf_counter() - due)
        writer.close()
        return waits_s

    def _scan(self) -> bytes:
        number = next(self._numbers)
        at = SystemClock().now().isoformat()
        where = {"device": f"gun {number % POSTERS}", "station": STATIONS[number // PIECES % len(STATIONS)]}
        read = {"read_id": uuid4().hex, "text": self._pieces[number % PIECES], "at": at, **where}
        return _head("POST", "/api/scans", json.dumps(read).encode(), f"Authorization: Bearer {self._token}\r\n")

    def _memory_mib(self) -> float:
        found = re.search(r"VmRSS:\s+(\d+) kB", self._status.read_text(encoding="utf-8"))
        assert found
        return int(found[1]) / 1024


def _head(method: str, path: str, body: bytes = b"", more: str = "") -> bytes:
    return f"{method} {path} HTTP/1.1\r\nHost: {HOST}\r\nContent-Length: {len(body)}\r\n{more}\r\n".encode() + body


async def _answer(reader: asyncio.StreamReader) -> None:
    head = await reader.readuntil(b"\r\n\r\n")
    assert b" 200 " in head.splitlines()[0], head
    length = re.search(rb"(?i)content-length: (\d+)", head)
    assert length, head
    await reader.readexactly(int(length[1]))


async def _stop_with_pages(floor: _Floor, process: "subprocess.Popen[str]", pages: int) -> float:
    async with floor.open_pages(pages):
        began = time.perf_counter()
        process.send_signal(signal.SIGTERM)
        await asyncio.to_thread(process.wait, STOP_S_MAX)
        return time.perf_counter() - began


if __name__ == "__main__":
    wanted = [float(argument) for argument in sys.argv[1:]]
    for name, value in measure(wanted[0] if wanted else SECONDS, int(wanted[1]) if wanted[1:] else PAGES).items():
        print(f"{name:<50} {value:>12,.2f}")
