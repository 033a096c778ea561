"""The wall and the station screen in a real browser: as quick as they promise, and never silently wrong."""

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from datetime import timedelta
from pathlib import Path
from statistics import quantiles

import pytest
from playwright.sync_api import Browser, Locator, Page, expect
from playwright.sync_api import TimeoutError as Late

from floor.ledger import Ledger, MemoryLedger
from floor.web.server import WebServer
from shared.clock import SetClock
from shared.events.recorded import read_of
from shared.files.jobfile import parse_job
from tests.floor.web.browser import WAIT_MS, browser, opened
from tests.floor.web.crowd import scan
from tests.floor.web.rig import House
from tests.floor.web.wire import wire
from tests.making import MONDAY, job_data, shop
from tests.measured import RunningClock, assert_within, browser_time

__all__ = ["browser"]

Open = tuple[House, WebServer]
BOOTH = "/station/pretreat%20booth"
WATCH_WAITING = """() => {
  window.seen = [];
  addEventListener("shown", () => seen.push([
    parseInt(document.querySelector(".steps .count").textContent), performance.timeOrigin + performance.now()
  ]));
}"""
NOTE_SHOWN = "addEventListener('shown', () => { window.wasShown = true; })"
HAS_SHOWN = "(waiting) => seen.some(([shown]) => shown <= waiting)"
ALL_ANSWERED = "() => Object.values(localStorage).every((kept) => kept === '[]')"
IMPATIENT = "const patient = AbortSignal.timeout.bind(AbortSignal); AbortSignal.timeout = () => patient(400);"
TRIES = 60
COUNT_BUBBLES = "window.bubbles = 0; addEventListener('invalid', () => { bubbles += 1; }, true);"
COUNT_NOTES = """
  window.notes = 0;
  const make = AudioContext.prototype.createOscillator;
  AudioContext.prototype.createOscillator = function () { notes += 1; return make.call(this); };
"""


@contextmanager
def open_floor(folder: Path, ledger: Ledger, port: int = 0, clock: SetClock | None = None) -> Iterator[Open]:
    """A floor on a ledger, and its web server; once more on the same ledger and port, it has restarted."""
    house = House(folder, ledger, clock)
    house.access.keep()
    with house.service, house.listening(port) as server:
        yield house, server
        house.settings.live.close()
    house.benches.revoke("north")  # or the next floor could not add it


@pytest.fixture
def floor(tmp_path: Path) -> Iterator[Open]:
    with open_floor(tmp_path, MemoryLedger(), clock=RunningClock(MONDAY)) as floor:
        yield floor


def type_codes(page: Page, codes: list[str]) -> None:
    """As a scanner does that is a keyboard: digits, and Enter."""
    for code in codes:
        page.keyboard.type(code)
        page.keyboard.press("Enter")


def typed(house: House) -> list[str]:
    """What screens brought into the ledger."""
    rows = [row for row in house.rows() if row.device and row.device.startswith("screen of")]
    return [read.text for row in rows if (read := read_of(row.event))]


def until_all_are_answered(page: Page) -> None:
    page.wait_for_function(ALL_ANSWERED, timeout=WAIT_MS)


def old(page: Page) -> Locator:
    return page.locator("#old")


@pytest.mark.alone
def test_a_scan_is_on_twenty_walls_within_a_quarter_of_a_second(browser: Browser, floor: Open) -> None:
    house, server = floor
    with ExitStack() as stack:
        # In profiles of their own, for a browser opens no more than six connections to one address.
        walls = [stack.enter_context(opened(browser, f"{server.url}/wall", 640, 360)) for _ in range(20)]
        assert_within(0.25, lambda: quantiles(lateness_s(house, walls), n=20)[-1])


def lateness_s(house: House, walls: list[Page]) -> list[float]:
    """How long after each of some scans each wall showed it, or what came after it."""
    pieces = house.job(12)
    for wall in walls:
        wall.wait_for_function("(waiting) => document.querySelector('.steps .count')?.textContent == waiting", arg=12)
        wall.evaluate(WATCH_WAITING)
    began: dict[int, float] = {}
    for waiting, piece in reversed([*enumerate(pieces)]):
        began[waiting] = browser_time()
        assert scan(house, piece, "pretreat booth").good
        walls[-1].wait_for_function(HAS_SHOWN, arg=waiting)
    for wall in walls:
        wall.wait_for_function(HAS_SHOWN, arg=0)
    return [
        min(at for left, at in wall.evaluate("seen") if left <= waiting) / 1_000 - scanned
        for wall in walls
        for waiting, scanned in began.items()
    ]


def test_a_wall_outlives_a_restart_of_the_floor_and_says_that_it_is_old_meanwhile(
    browser: Browser, tmp_path: Path
) -> None:
    ledger = MemoryLedger()
    with ExitStack() as stack:
        with open_floor(tmp_path, ledger) as (house, server):
            port = server.port
            house.job(2)
            wall = stack.enter_context(opened(browser, f"{server.url}/wall"))
            wall.clock.install()
            expect(wall.locator(".jobs b")).to_have_count(1)
            expect(old(wall)).to_be_hidden()
        wall.clock.fast_forward("00:10")
        expect(old(wall)).to_contain_text("OLD")
        with open_floor(tmp_path, ledger, port) as (house, _):
            house.job(2)
            wall.clock.fast_forward("00:05")
            expect(wall.locator(".jobs b")).to_have_count(2, timeout=WAIT_MS)
            expect(old(wall)).to_be_hidden()


def test_a_wall_outlives_five_minutes_without_a_network(browser: Browser, floor: Open) -> None:
    house, server = floor
    house.job()
    with wire(server.port) as between, opened(browser, f"{between.url}/wall") as wall:
        wall.clock.install()
        expect(wall.locator(".jobs b")).to_have_count(1)
        between.cut()
        wall.clock.fast_forward("05:00")
        house.job()
        expect(old(wall)).to_contain_text("OLD")
        between.mend()
        in_time(wall, "00:20", "() => document.querySelectorAll('.jobs b').length === 2")
        expect(old(wall)).to_be_hidden()


def test_a_scan_that_was_on_its_way_when_the_network_was_cut_arrives_once(browser: Browser, floor: Open) -> None:
    house, server = floor
    pieces = house.job(2)
    with wire(server.port) as between, opened(browser, f"{between.url}{BOOTH}", before=IMPATIENT) as screen:
        screen.clock.install()
        type_codes(screen, pieces[:1])
        until_all_are_answered(screen)
        between.cut()
        type_codes(screen, pieces[1:])
        expect(screen.locator("#kept")).to_contain_text("1 scan waits")
        between.mend()
        in_time(screen, "00:03", ALL_ANSWERED)
    assert typed(house) == pieces


def in_time(page: Page, step: str, done: str) -> None:
    """Let time pass. A browser tries every connection that it has, dead ones too, before it makes a new one."""
    for _ in range(TRIES):
        page.clock.fast_forward(step)
        with suppress(Late):
            page.wait_for_function(done, timeout=1_000)
            return
    pytest.fail("nothing came any more")


@pytest.mark.parametrize("ahead", [timedelta(0), timedelta(hours=1)], ids=["right", "an hour wrong"])
def test_a_countdown_ends_when_the_press_is_to_be_opened_whatever_the_browser_s_clock_says(
    browser: Browser, tmp_path: Path, ahead: timedelta
) -> None:
    with (
        open_floor(tmp_path, MemoryLedger()) as (house, server),
        opened(browser, "about:blank", before=NOTE_SHOWN) as wall,
    ):
        pressed_for(house, 57.5)
        shown = house.clock.now() + ahead
        wall.clock.install(time=shown - timedelta(minutes=1))  # it goes until it is paused
        wall.clock.pause_at(shown)
        wall.goto(f"{server.url}/wall")
        countdown = wall.locator("[data-opens]")
        expect(countdown).to_have_text("0:03")
        wall.wait_for_function("() => window.wasShown")
        wall.clock.run_for(2_400)
        expect(countdown).to_have_text("0:01")
        wall.clock.run_for(200)
        expect(countdown).to_have_text("0:00")


def pressed_for(house: House, seconds: float) -> str:
    """A light garment that has been in the press so long; a minute is what it needs."""
    (piece,) = house.service.take(parse_job(job_data(colour="white"), shop())).pieces
    for station, ago_s in (("printer 1", seconds + 20), ("press 1", seconds)):
        assert scan(house, piece, station, ago_s=ago_s).good
    return piece


@pytest.mark.parametrize("focus", ["#code", "#sound", "h1"])
def test_twenty_scans_that_are_typed_at_once_all_arrive_wherever_the_focus_was(
    browser: Browser, floor: Open, focus: str
) -> None:
    house, server = floor
    pieces = house.job(20)
    with opened(browser, f"{server.url}{BOOTH}") as screen:
        screen.evaluate("(where) => { document.activeElement.blur(); document.querySelector(where).focus(); }", focus)
        type_codes(screen, pieces)
        until_all_are_answered(screen)
    assert typed(house) == pieces


@pytest.mark.parametrize("enter", [False, True], ids=["none", "late"])
def test_a_scanner_whose_enter_does_not_come_or_comes_late_is_understood(
    browser: Browser, floor: Open, enter: bool
) -> None:
    house, server = floor
    (piece,) = house.job()
    with opened(browser, "about:blank", before=COUNT_BUBBLES) as screen:
        screen.clock.install(time=0)
        screen.goto(f"{server.url}{BOOTH}")
        screen.clock.pause_at(60)
        screen.keyboard.type(piece)
        assert screen.locator("#code").input_value() == piece
        screen.clock.run_for(200)
        if enter:
            screen.keyboard.press("Enter")
        expect(screen.locator(".word")).to_contain_text("DONE")
        assert screen.evaluate("bubbles") == 0
    assert typed(house) == [piece]


def test_what_is_scanned_while_the_floor_is_away_is_kept_and_sent_once(browser: Browser, tmp_path: Path) -> None:
    ledger = MemoryLedger()
    with ExitStack() as stack:
        with open_floor(tmp_path, ledger) as (house, server):
            port, pieces = server.port, house.job(3)
            screen = stack.enter_context(opened(browser, f"{server.url}{BOOTH}"))
        type_codes(screen, pieces)
        expect(screen.locator("#kept")).to_contain_text("3 scans wait")
        with open_floor(tmp_path, ledger, port) as (house, _):
            until_all_are_answered(screen)
            expect(screen.locator("#kept")).to_be_hidden()
            assert typed(house) == pieces


def test_an_answer_is_a_word_with_a_shape_the_settings_and_what_comes_next(browser: Browser, floor: Open) -> None:
    house, server = floor
    pieces = house.job(2)
    with opened(browser, f"{server.url}{BOOTH}") as screen:
        expect(screen.locator(".word")).to_have_text("Ready")
        type_codes(screen, pieces[:1])
        expect(screen.locator(".word")).to_have_text("● DONE")
        expect(screen.locator(".say")).to_contain_text("Next: underlayer at printer 1")
        expect(screen.locator(".settings li").first).to_be_visible()
        expect(screen.locator(".turns li")).to_have_count(1)
        type_codes(screen, ["1000000000"])
        expect(screen.locator(".word")).to_have_text("▲ STOP")


def test_the_sound_is_off_until_it_is_wanted(browser: Browser, floor: Open) -> None:
    house, server = floor
    pieces = house.job(3)
    with opened(browser, f"{server.url}{BOOTH}", before=COUNT_NOTES) as screen:
        sound = screen.locator("#sound")
        said = screen.locator(".answer .piece")
        for piece, pressed, notes in zip(pieces, ("false", "true", "false"), (0, 4, 4), strict=True):
            if piece != pieces[0]:
                sound.click()
            expect(sound).to_have_attribute("aria-pressed", pressed)
            type_codes(screen, [piece])
            expect(said).to_contain_text(piece[-2:])
            assert screen.evaluate("notes") == notes  # two when it is turned on, two for the good answer


def test_without_script_there_is_a_wall_a_station_and_an_office(browser: Browser, floor: Open) -> None:
    house, server = floor
    (piece,) = house.job()
    with opened(browser, f"{server.url}/wall", script=False) as page:
        expect(page.locator(".jobs")).to_contain_text("J0001")
        expect(old(page)).to_be_hidden()
        page.goto(f"{server.url}{BOOTH}")
        page.fill("#code", piece)
        page.get_by_text("Enter").click()
        expect(page.locator(".word")).to_have_text("● DONE")
        page.goto(f"{server.url}/jobs")
        page.get_by_role("link", name="J0001").click()
        page.get_by_text("Hold it").click()
        expect(page.get_by_text("Go on with it")).to_be_visible()
