"""A floor whose web application is called directly, and one that listens on a free port of this machine."""

import asyncio
import json
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from starlette.applications import Starlette

from floor.doors.access import Access
from floor.doors.benches import Benches
from floor.ledger import Ledger, MemoryLedger, make_ledger
from floor.service.service import Service
from floor.web.app import Settings, build_app
from floor.web.metrics import Metrics
from floor.web.server import WebServer
from shared.clock import SetClock
from shared.events.recorded import Recorded
from shared.files.jobfile import parse_job
from shared.files.shop import Shop
from shared.scan import Answer, Scan
from tests.making import MONDAY, job_data, shop
from tests.scanners.remote_rig import quick_folder

STOPS_MAX = 20


@dataclass(frozen=True)
class Reply:
    """What came back."""

    status: int
    headers: Mapping[str, str]
    body: bytes

    @property
    def json(self) -> Any:
        return json.loads(self.body)

    @property
    def error(self) -> dict[str, str]:
        """What went wrong; it has the one shape that all errors have."""
        assert set(self.json) == {"error"}
        assert set(self.json["error"]) == {"what", "where", "found", "allowed", "do"}
        return dict(self.json["error"])


HOST = {"Host": "127.0.0.1:8765"}
"""As every client says it, unless a test says otherwise."""


async def call(
    app: Starlette,
    method: str,
    path: str,
    body: bytes | Sequence[bytes] = b"",
    headers: Mapping[str, str] | None = None,
    client: str = "127.0.0.1",
    query: str = "",
    scheme: str = "http",
) -> Reply:
    """One request, without a network; a body may come in several pieces, the last of which may never come (b"…")."""
    pieces = [body] if isinstance(body, bytes) else list(body)
    coming = _messages(pieces)
    sent: list[dict[str, Any]] = []
    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": method,
        "scheme": scheme,
        "path": path,
        "raw_path": path.encode(),
        "query_string": query.encode(),
        "root_path": "",
        "headers": [
            (name.lower().encode(), value.encode("latin-1")) for name, value in {**HOST, **(headers or {})}.items()
        ],
        "client": (client, 50_000),
        "server": ("127.0.0.1", 8_765),
    }
    await app(scope, coming.__anext__, _into(sent))
    start, *bodies = sent
    got = {name.decode(): value.decode() for name, value in start["headers"]}
    return Reply(start["status"], got, b"".join(part.get("body", b"") for part in bodies))


async def _messages(pieces: Sequence[bytes]) -> AsyncIterator[dict[str, Any]]:
    for n, piece in enumerate(pieces, 1):
        yield {"type": "http.request", "body": piece, "more_body": n < len(pieces)}
    yield {"type": "http.disconnect"}


def _into(sent: list[dict[str, Any]]) -> Callable[[Any], Awaitable[None]]:
    async def send(message: Any) -> None:
        sent.append(message)

    return send


def stop(server: WebServer) -> None:
    """Stop a server, however long a busy machine takes; it gives up sooner itself."""
    assert any(server.stop() for _ in range(STOPS_MAX)), "the web server did not stop"


class House:
    """A floor in memory (or in a ledger that is given), a bench that it knows, and its web application."""

    def __init__(
        self,
        folder: Path,
        ledger: Ledger | None = None,
        clock: SetClock | None = None,
        its_shop: Shop | None = None,
    ) -> None:
        self.folder = folder
        self.clock = clock or SetClock(MONDAY)
        self.ledger = ledger or MemoryLedger()
        self.benches = Benches(folder)
        self.service = Service(its_shop or shop(), self.ledger, self.clock)
        self.scan: Callable[[Scan], Answer] = self.service.scan
        self.metrics = Metrics(self.service)
        self.access = Access(folder)
        self.settings = Settings(
            folder=folder,
            benches=self.benches,
            access=self.access,
            metrics=self.metrics,
            scan=self.metrics.watched(self._scan),
        )
        self.app = build_app(self.service, self.settings)
        self.token = self.benches.add("north", MONDAY)

    def _scan(self, read: Scan) -> Answer:
        return self.scan(read)  # a test may have put another one in its place

    @property
    def auth(self) -> dict[str, str]:
        return {"Authorization": f"Bearer {self.token}"}

    def call(self, method: str, path: str, body: bytes | Sequence[bytes] = b"", **more: Any) -> Reply:
        """One request."""
        return asyncio.run(call(self.app, method, path, body, **more))

    def get(self, path: str, **more: Any) -> Reply:
        return self.call("GET", path, **more)

    def post(self, *reads: Mapping[str, Any], headers: Mapping[str, str] | None = None) -> Reply:
        """Reads, posted by the bench: one as it is, several as a list."""
        body = json.dumps(reads[0] if len(reads) == 1 else reads).encode()
        return self.call("POST", "/api/scans", body, headers=self.auth if headers is None else headers)

    def job(self, pieces: int = 1) -> list[str]:
        """Take a job; the codes of its pieces."""
        order = parse_job(job_data(sizes={"M": pieces}), shop())
        return list(self.service.take(order).pieces)

    def rows(self) -> list[Recorded]:
        return list(self.ledger.rows())

    def row(self, read_id: str) -> Recorded:
        """The row of a read, which must be there."""
        row = self.ledger.by_read_id(read_id)
        assert row is not None, f"{read_id} is not in the ledger"
        return row

    @contextmanager
    def listening(self, port: int = 0, proxies: Sequence[str] = ()) -> Iterator[WebServer]:
        """Reachable over the network of this machine."""
        server = WebServer(self.app, "127.0.0.1", port, proxies)
        server.start()
        try:
            yield server
        finally:
            stop(server)


@contextmanager
def house(folder: Path, ledger: Ledger | None = None, its_shop: Shop | None = None) -> Iterator[House]:
    """A floor that runs until the block ends."""
    house = House(folder, ledger, its_shop=its_shop)
    with house.service:
        yield house


@contextmanager
def sqlite_house() -> Iterator[House]:
    """A floor whose ledger is a file."""
    with (
        quick_folder() as folder,
        closing(make_ledger(f"sqlite:///{folder}/ledger.db")) as ledger,
        house(folder, ledger) as floor,
    ):
        yield floor


def read(number: int = 1, code: str = "12", after_s: float = 0, **fields: Any) -> dict[str, Any]:
    """A read as a bench sends it."""
    at: datetime = MONDAY + timedelta(seconds=after_s)
    plain = {"read_id": f"read-{number:06}", "text": code, "at": at.isoformat(), "device": "gun", "station": "press 1"}
    return {**plain, **fields}
