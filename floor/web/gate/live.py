"""Live pages: what changes on the floor is drawn once, and sent to everybody who looks at it (server-sent events).

Never waits for a reader: whoever does not read gets the newest when they do, and nothing of what lay between.
"""

import asyncio
import json
import logging
from collections import defaultdict
from collections.abc import AsyncIterator, Callable
from contextlib import suppress
from time import monotonic

from msgspec import Struct
from starlette.concurrency import run_in_threadpool
from starlette.responses import StreamingResponse

_log = logging.getLogger(__name__)

BETWEEN_S = 0.1
"""The least time between two drawings: no eye is quicker, and a busy floor is not drawn for every scan."""
REST = 3
"""So many times as long as a drawing took the floor has for itself before the next."""
HEADERS = {"Content-Type": "text/event-stream", "Cache-Control": "no-store", "X-Accel-Buffering": "no"}
AT_LEAST_S = 3.0
"""Even when nothing happens waits grow, and a page that hears nothing calls itself old."""


class Drawn(Struct, frozen=True):
    """What a page shows: its HTML, the ledger row and the moment up to which it is true."""

    seq: int
    at_ms: int
    html: str


Draw = Callable[[], Drawn]


class _Reader:
    """One open page: the newest that it has not been sent yet, and nothing older."""

    def __init__(self) -> None:
        self._newest: Drawn | None = None
        self._news = asyncio.Event()

    def tell(self, drawn: Drawn | None) -> None:
        """Something new to send; None ends it."""
        self._newest = drawn
        self._news.set()

    async def next(self) -> Drawn | None:
        await self._news.wait()
        self._news.clear()
        return self._newest


class Live:
    """The open pages, by what they show. All of it runs in the web server's own loop, but `news` and `close`."""

    def __init__(self) -> None:
        self._readers: dict[str, set[_Reader]] = defaultdict(set)
        self._draws: dict[str, Draw] = {}
        self._loop: asyncio.AbstractEventLoop | None = None
        self._news = asyncio.Event()
        self._drawing: asyncio.Task[None] | None = None
        self._closed = False

    def news(self) -> None:
        """The floor has changed: to be called from any thread."""
        self._soon(self._news.set)

    def close(self) -> None:
        """End every stream: to be called from any thread, before the server stops."""
        self._closed = True
        self._soon(self._end)

    def _soon(self, call: Callable[[], None]) -> None:
        if self._loop is not None:
            with suppress(RuntimeError):  # the loop has ended
                self._loop.call_soon_threadsafe(call)

    def _end(self) -> None:
        if self._drawing is not None:
            self._drawing.cancel()
        for readers in self._readers.values():
            for reader in readers:
                reader.tell(None)

    def stream(self, what: str, draw: Draw, may: Callable[[], bool]) -> StreamingResponse:
        """What is drawn for `what`, now and whenever it changes, until the page or the floor is closed.

        It ends too when whoever looks `may` no longer.
        """
        self._loop = asyncio.get_running_loop()
        return StreamingResponse(self._events(what, draw, may), headers=HEADERS)

    async def _events(self, what: str, draw: Draw, may: Callable[[], bool]) -> AsyncIterator[str]:
        reader = _Reader()
        self._readers[what].add(reader)
        self._draws[what] = draw
        if self._drawing is None or self._drawing.done():
            self._drawing = asyncio.create_task(self._keep_drawing())
        self._news.set()
        try:
            while not self._closed and (drawn := await reader.next()) is not None and may():
                yield _event(drawn)
        finally:
            self._readers[what].discard(reader)
            if not self._readers[what]:
                del self._readers[what], self._draws[what]

    async def _keep_drawing(self) -> None:
        """As long as anybody looks."""
        while self._draws:
            with suppress(TimeoutError):
                await asyncio.wait_for(self._news.wait(), AT_LEAST_S)
            self._news.clear()
            began = monotonic()
            for what, draw in list(self._draws.items()):
                await self._draw(what, draw)
            await asyncio.sleep(max(BETWEEN_S, REST * (monotonic() - began)))

    async def _draw(self, what: str, draw: Draw) -> None:
        """Draw for all who look; where that fails they hear nothing, and their page says that it is old."""
        try:
            drawn = await run_in_threadpool(draw)
        except Exception:  # noqa: BLE001 - whatever it was, other pages and the next drawing go on
            _log.exception("%s could not be drawn", what)
            return
        for reader in self._readers.get(what, ()):
            reader.tell(drawn)


def _event(drawn: Drawn) -> str:
    data = json.dumps({"at": drawn.at_ms, "html": drawn.html})
    return f"id: {drawn.seq}\ndata: {data}\n\n"
