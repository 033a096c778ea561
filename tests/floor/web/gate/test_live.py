"""Live pages: everybody sees the newest, nobody holds anybody up, and it ends when the floor does."""

import asyncio
import json
from collections.abc import AsyncIterator, Callable
from contextlib import aclosing
from threading import Thread
from typing import Any

import pytest
from starlette.responses import StreamingResponse

from floor.web.gate import live
from floor.web.gate.live import Drawn, Live
from tests.floor.web.rig import House, read
from tests.floor.web.visitor import Visitor
from tests.measured import WAIT_S


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(live, "BETWEEN_S", 0.001)
    monkeypatch.setattr(live, "REST", 0)


class Wall:
    """Something to draw, and how often it was drawn."""

    def __init__(self) -> None:
        self.seq = 0
        self.drawn = 0

    def draw(self) -> Drawn:
        self.drawn += 1
        return Drawn(self.seq, 1_000 * self.seq, f"<p>{self.seq}</p>\n\n")


def events(pages: Live, wall: Wall, what: str = "/wall", may: Callable[[], bool] = lambda: True) -> AsyncIterator[str]:
    return _body(pages.stream(what, wall.draw, may))


async def _body(response: StreamingResponse) -> AsyncIterator[str]:
    async for part in response.body_iterator:
        yield str(part)


async def seen(stream: AsyncIterator[str], seq: int) -> dict[str, Any]:
    """Read on until the page shows a row; what it got then."""
    async with asyncio.timeout(WAIT_S):
        async for event in stream:
            first, second, *rest = event.split("\n")
            assert rest == ["", ""], "an event ends with an empty line, and has none inside"
            if int(first.removeprefix("id: ")) >= seq:
                found: dict[str, Any] = json.loads(second.removeprefix("data: "))
                return found
    raise AssertionError(f"the stream ended before {seq}")


def run(story: Callable[[Live, Wall], Any]) -> None:
    async def whole() -> None:
        pages = Live()
        await asyncio.wait_for(story(pages, Wall()), WAIT_S)
        pages.close()

    asyncio.run(whole())


def test_a_page_is_sent_what_there_is_and_then_what_is_new() -> None:
    async def story(pages: Live, wall: Wall) -> None:
        stream = events(pages, wall)
        assert await seen(stream, 0) == {"at": 0, "html": "<p>0</p>\n\n"}
        wall.seq = 1
        pages.news()
        assert await seen(stream, 1) == {"at": 1_000, "html": "<p>1</p>\n\n"}

    run(story)


def test_news_come_from_any_thread() -> None:
    async def story(pages: Live, wall: Wall) -> None:
        stream = events(pages, wall)
        await seen(stream, 0)
        wall.seq = 1
        await asyncio.to_thread(pages.news)
        await seen(stream, 1)

    run(story)


def test_it_is_drawn_now_and_then_even_when_nothing_happens(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(live, "AT_LEAST_S", 0.01)

    async def story(pages: Live, wall: Wall) -> None:
        stream = events(pages, wall)
        await seen(stream, 0)
        wall.seq = 1
        await seen(stream, 1)

    run(story)


def test_it_is_drawn_once_for_all_who_look() -> None:
    async def story(pages: Live, wall: Wall) -> None:
        streams = [events(pages, wall) for _ in range(50)]
        await asyncio.gather(*(seen(stream, 0) for stream in streams))
        before = wall.drawn
        wall.seq = 1
        pages.news()
        await asyncio.gather(*(seen(stream, 1) for stream in streams))
        assert wall.drawn - before <= 2

    run(story)


def test_each_page_is_sent_its_own() -> None:
    async def story(pages: Live, wall: Wall) -> None:
        other = Wall()
        other.seq = 7
        one, two = events(pages, wall), events(pages, other, "/station/press 1")
        assert (await seen(one, 0))["html"] == "<p>0</p>\n\n"
        assert (await seen(two, 0))["html"] == "<p>7</p>\n\n"

    run(story)


def test_who_does_not_read_gets_the_newest_when_they_do_and_nothing_else_is_kept_for_them() -> None:
    async def story(pages: Live, wall: Wall) -> None:
        slow, quick = events(pages, wall), events(pages, wall)
        await seen(slow, 0)
        for seq in range(1, 200):
            wall.seq = seq
            pages.news()
            await seen(quick, seq)
        async with asyncio.timeout(WAIT_S):
            event = await anext(slow)
        assert event.startswith("id: 199\n")

    run(story)


def test_what_cannot_be_drawn_stops_no_other_and_is_drawn_when_it_can_be(caplog: pytest.LogCaptureFixture) -> None:
    async def story(pages: Live, wall: Wall) -> None:
        broken = True

        def draw() -> Drawn:
            if broken:
                raise RuntimeError("no ink")
            return Drawn(1, 0, "")

        bad = _body(pages.stream("/bad", draw, lambda: True))
        waiting = asyncio.ensure_future(seen(bad, 1))
        good = events(pages, wall)
        await seen(good, 0)
        wall.seq = 1
        pages.news()
        await seen(good, 1)
        assert "/bad could not be drawn" in caplog.text
        assert not waiting.done()
        broken = False
        pages.news()
        await waiting

    run(story)


def test_when_nobody_looks_nothing_is_drawn() -> None:
    async def story(pages: Live, wall: Wall) -> None:
        async with aclosing(events(pages, wall)) as stream:  # type: ignore[type-var]
            await seen(stream, 0)
        await asyncio.wait_for(_drawing(pages), WAIT_S)
        before = wall.drawn
        pages.news()
        await asyncio.sleep(0)
        assert wall.drawn == before
        wall.seq = 3
        await seen(events(pages, wall), 3)

    run(story)


async def _drawing(pages: Live) -> None:
    pages.news()
    assert pages._drawing is not None
    await pages._drawing


def test_every_stream_ends_when_the_floor_closes_and_a_new_one_ends_at_once() -> None:
    async def story(pages: Live, wall: Wall) -> None:
        streams = [events(pages, wall) for _ in range(3)]
        await asyncio.gather(*(seen(stream, 0) for stream in streams))
        await asyncio.to_thread(pages.close)
        for stream in [*streams, events(pages, wall)]:
            assert [event async for event in stream] == []

    run(story)


def test_closing_may_come_before_the_first_page_and_after_the_last() -> None:
    pages = Live()
    pages.news()
    pages.close()
    run(lambda others, wall: seen(events(others, wall), 0))
    pages.close()


def test_a_stream_ends_when_its_reader_may_no_longer_look() -> None:
    async def story(pages: Live, wall: Wall) -> None:
        allowed = [True]
        stream = events(pages, wall, may=lambda: allowed[0])
        await seen(stream, 0)
        allowed[0] = False
        pages.news()
        assert [event async for event in stream] == []

    run(story)


# On a floor


def watched(house: House, visitor: Visitor, path: str, enough: Callable[[list[str]], bool]) -> list[str]:
    """The events of a page's stream, until it ends or `enough`, which is shown them after each, says so."""
    events: list[str] = []

    async def watch() -> None:
        gone = asyncio.Event()

        async def receive() -> dict[str, Any]:
            await gone.wait()
            return {"type": "http.disconnect"}

        async def send(message: Any) -> None:
            if message.get("body"):
                events.append(message["body"].decode())
                if enough(events):
                    gone.set()

        headers = [(name.lower().encode(), value.encode()) for name, value in visitor.headers.items()]
        scope = {"type": "http", "method": "GET", "path": path, "query_string": b"", "headers": headers}
        await asyncio.wait_for(house.app({**scope, "client": ("127.0.0.1", 50_000)}, receive, send), WAIT_S)

    asyncio.run(watch())
    return events


def id_of(event: str) -> int:
    return int(event.partition("\n")[0].removeprefix("id: "))


def test_a_scan_is_on_the_wall_with_the_ledgers_row_as_the_events_id(house: House) -> None:
    [piece] = house.job()
    before = house.ledger.head()

    def enough(events: list[str]) -> bool:
        if len(events) == 1:
            scan = read(1, piece, station="pretreat booth")
            Thread(target=house.post, args=(scan,), daemon=True).start()
        return id_of(events[-1]) > before

    events = watched(house, Visitor(house), "/live/wall", enough)
    assert id_of(events[0]) == before
    assert id_of(events[-1]) == house.row("read-000001").seq


def test_an_open_wall_ends_when_its_password_is_changed(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("floor.doors.access.SCRYPT_N", 16)
    monkeypatch.setattr(live, "AT_LEAST_S", 0.01)
    house.access.set("view", "behind the wall")

    def enough(events: list[str]) -> bool:
        if len(events) == 1:
            house.access.set("view", "another wall")
        return False

    assert len(watched(house, Visitor(house, "view"), "/live/wall", enough)) == 1
