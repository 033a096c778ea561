"""What a screen reader is given: each alarm and each answer, once; and nothing that only moves on."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from floor.core.plan.alarms import changes
from floor.ledger import LedgerError
from shared.codes import CodeType
from shared.files.cards import STATION_DOWN
from tests.floor.web import rig
from tests.floor.web.browser import WAIT_MS, browser, opened
from tests.floor.web.crowd import scan
from tests.floor.web.rig import House
from tests.making import card

__all__ = ["browser"]

Open = tuple[House, str]
BOOTH = "/station/pretreat%20booth"
LIVE_PAGES = ("/wall", BOOTH)
STILL_PAGES = ("/", "/jobs", "/jobs/J0001", "/care", "/week")
# WAI-ARIA 1.2, 5.3.5 (live region roles) and 6.6.2 (aria-live); <output> is a status by HTML-AAM (from memory).
LIVE = """() => [...document.querySelectorAll(
  "[aria-live], [role=alert], [role=status], [role=log], [role=timer], [role=marquee], output"
)].map((region) => [region.id, region.getAttribute("aria-live")])"""
LISTEN = """addEventListener("DOMContentLoaded", () => {
  window.aloud = [];
  for (const region of document.querySelectorAll("[aria-live]")) {
    new MutationObserver(() => aloud.push([region.getAttribute("aria-live"), region.textContent])).observe(
      region, { childList: true, characterData: true, subtree: true }
    );
  }
});"""
SEEN = (
    "() => [...document.querySelectorAll('[aria-live]')].filter((region) => region.getBoundingClientRect().width > 1)"
)


@pytest.fixture
def floor(tmp_path: Path) -> Iterator[Open]:
    with rig.house(tmp_path) as house, house.listening() as server:
        yield house, server.url
        house.settings.live.close()


def heard(page: Page, count: int) -> list[list[str]]:
    """What was said since the page came, as soon as it is so much."""
    page.wait_for_function("(count) => aloud.length >= count", arg=count, timeout=WAIT_MS)
    said: list[list[str]] = page.evaluate("aloud")
    return said


@pytest.mark.parametrize("path", LIVE_PAGES)
def test_two_regions_are_live_and_nothing_else_is(browser: Browser, floor: Open, path: str) -> None:
    house, url = floor
    house.job()
    house.service.recording.failed(LedgerError("full"))
    with opened(browser, url + path) as page:
        assert page.evaluate(LIVE) == [["stops", "assertive"], ["news", "polite"]]
        assert page.evaluate(SEEN) == []


def test_on_pages_that_stand_still_nothing_is_live(browser: Browser, floor: Open) -> None:
    house, url = floor
    house.job()
    with opened(browser, url) as page:
        for path in STILL_PAGES:
            page.goto(url + path)
            assert page.evaluate(LIVE) == []


def test_a_good_answer_waits_for_the_end_of_a_sentence_and_a_stop_does_not(browser: Browser, floor: Open) -> None:
    house, url = floor
    [piece] = house.job()
    with opened(browser, url + BOOTH, before=LISTEN) as page:
        scan(house, piece, "pretreat booth")
        [[manner, text]] = heard(page, 1)
        assert manner == "polite"
        assert text.startswith("DONE. ")
        assert "Next: underlayer at printer 1" in text
        assert not scan(house, "1000000000", "pretreat booth", after_s=5).good
        _, [manner, text] = heard(page, 2)
        assert manner == "assertive"
        assert text.startswith("STOP. ")


def test_a_countdown_is_never_said(browser: Browser, floor: Open) -> None:
    house, url = floor
    [piece] = house.job()
    with opened(browser, "about:blank", before=LISTEN) as page:
        page.clock.install()
        page.goto(f"{url}/station/press%201")
        pressed(house, piece)
        assert counted_s(page, 4) >= 3  # what is shown is up to a fifth of a second old
        [[_, text]] = page.evaluate("aloud")
        assert text.startswith("STARTED. ")


def counted_s(page: Page, seconds: int) -> int:
    """By how much the countdown is less when so many seconds have passed on the page alone."""
    left = page.locator("[data-opens]")
    before = left_s(left.inner_text())
    page.clock.run_for(seconds * 1_000)
    return before - left_s(left.inner_text())


def left_s(countdown: str) -> int:
    minutes, seconds = countdown.split(":")
    return int(minutes) * 60 + int(seconds)


def pressed(house: House, piece: str) -> None:
    """Bring a dark piece into the press."""
    walk = (("pretreat booth", 0), ("printer 1", 90), ("inspection", 150), ("printer 1", 15), ("press 1", 140))
    for station, after_s in walk:
        assert scan(house, piece, station, after_s=after_s).good


def test_an_alarm_is_said_once_however_often_the_wall_is_drawn(browser: Browser, floor: Open) -> None:
    house, url = floor
    pieces = house.job(2)
    with opened(browser, f"{url}/wall", before=LISTEN) as page:
        scan(house, card(CodeType.COMMAND, STATION_DOWN), "press 1")
        house.service.record(lambda floor: (changes(floor, house.service.shop, house.clock.now()), None))
        [[manner, text]] = heard(page, 1)
        assert manner == "polite"
        assert text.startswith("STATION DOWN: ")
        for waiting, piece in zip(("1", "0"), pieces, strict=True):
            scan(house, piece, "pretreat booth", after_s=90)
            expect(page.locator(".steps .count").first).to_have_text(waiting)
        assert len(page.evaluate("aloud")) == 1


def test_that_nothing_is_recorded_cuts_in(browser: Browser, floor: Open) -> None:
    house, url = floor
    with opened(browser, url + BOOTH, before=LISTEN) as page:
        house.service.recording.failed(LedgerError("full"))
        [[manner, text]] = heard(page, 1)
        assert manner == "assertive"
        assert "NOTHING IS RECORDED" in text


def test_that_a_page_is_old_is_said_once(browser: Browser, floor: Open) -> None:
    house, url = floor
    house.job()
    with opened(browser, "about:blank", before=LISTEN) as page:
        page.clock.install()
        page.goto(f"{url}/wall")
        page.route("**/live/wall", lambda route: route.abort())
        house.settings.live.close()
        page.clock.fast_forward("00:10")
        page.clock.run_for(3_000)
        [[manner, text]] = heard(page, 1)
        assert (manner, text[:3]) == ("polite", "OLD")
