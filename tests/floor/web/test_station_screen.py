"""How a station's screen lies on the screens that a shop has: nothing scrolls, and the answer is whole."""

from collections.abc import Iterator
from contextlib import ExitStack
from datetime import timedelta
from pathlib import Path
from urllib.parse import quote

import pytest
from playwright.sync_api import Browser, Page

from floor.core.plan.turns import SHOWN
from floor.ledger import LedgerError
from shared.files.jobfile import parse_job
from shared.files.shop import Shop, parse_shop
from tests.floor.web import rig
from tests.floor.web.browser import browser, opened
from tests.floor.web.crowd import scan
from tests.floor.web.rig import House
from tests.making import job_data, shop_data

__all__ = ["browser"]

SCREENS = [(360, 740), (740, 360), (1024, 600), (1280, 800), (1366, 768), (1920, 1080), (2560, 1440)]
LONG = "Heizpresse am Fenster zum Hof, Donaudampfschifffahrtsgesellschaftsnähmaschinenraum"[:80]
UNBROKEN = "Ruderregatta" * 7
NAMES = {"en": ("press 1", "oars"), "de": (LONG, UNBROKEN[:80])}
"""By language: what the press is called, and what stands on the garments."""
CUT = """() => {
  const cut = [];
  const walker = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    if (!walker.currentNode.data.trim() || !element.checkVisibility()) continue;
    if (element.closest("h1, .day p, .turns h2")) continue; // these end in three dots
    const edges = [{ left: 0, top: 0, right: innerWidth, bottom: innerHeight }];
    for (let around = element; around; around = around.parentElement) {
      if (getComputedStyle(around).overflow !== "visible") edges.push(around.getBoundingClientRect());
    }
    const range = document.createRange();
    range.selectNodeContents(walker.currentNode);
    for (const box of range.getClientRects()) {
      const air = box.height / 5; // the letters stand in the middle of the line's box
      const inside = (edge) => box.left >= edge.left - 1 && box.right <= edge.right + 1
        && box.top + air >= edge.top - 1 && box.bottom - air <= edge.bottom + 1;
      if (!edges.every(inside)) cut.push(walker.currentNode.data.trim());
    }
  }
  return cut;
}"""
SCROLLED = """() => [...document.querySelectorAll("*")].filter(
  (part) => part.scrollTop || part.scrollLeft || (
    /auto|scroll/.test(getComputedStyle(part).overflow) && part.scrollHeight > part.clientHeight + 1
  )
).map((part) => part.tagName)"""
HIGHER = "() => document.documentElement.scrollHeight - innerHeight"
FORM = "() => document.getElementById('scan').getBoundingClientRect().bottom - innerHeight"
ROWS = """() => [
  [...document.querySelectorAll(".turns li")].filter((row) => row.checkVisibility()).length,
  document.querySelector(".more").checkVisibility() ? document.querySelector(".more").textContent : "",
]"""
LETTERS_PX = "() => parseFloat(getComputedStyle(document.querySelector('.say')).fontSize)"


def shop_of(language: str) -> Shop:
    """A shop that speaks a language, whose press holds two pieces."""
    data = shop_data()
    [press] = (station for station in data["stations"] if station["name"] == "press 1")
    press |= {"name": NAMES[language][0], "holds": 2}
    return parse_shop({**data, "scanners": [], "shop": {**data["shop"], "language": language, "name": LONG}})


def pressed(house: House, press: str, design: str) -> None:
    """Two pieces in the press, three more wet, one of which was just brought to the wrong place."""
    data = job_data(colour="white", sizes={"M": 2 + SHOWN})
    data["lines"][0]["design"] = design
    pieces = house.service.take(parse_job(data, house.service.shop)).pieces
    for piece in pieces:
        assert scan(house, piece, "printer 1", after_s=39).good
    for piece in pieces[:2]:
        assert scan(house, piece, press, after_s=20).good
    assert not scan(house, pieces[-1], "pretreat booth").good
    house.clock.advance(timedelta(seconds=15))


@pytest.fixture(scope="module")
def screens(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, str]]:
    """By language, the address of a floor with a press in use."""
    urls = {}
    with ExitStack() as stack:
        for language, (press, design) in NAMES.items():
            folder: Path = tmp_path_factory.mktemp(language)
            house = stack.enter_context(rig.house(folder, its_shop=shop_of(language)))
            urls[language] = stack.enter_context(house.listening()).url
            stack.callback(house.settings.live.close)
            pressed(house, press, design)
        yield urls


def settled(page: Page) -> Page:
    """A page whose letters are there, and all that was drawn with others is drawn again."""
    page.wait_for_function("() => document.fonts.status === 'loaded'")
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    return page


@pytest.mark.parametrize("screen", SCREENS, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("language", NAMES)
def test_nothing_on_a_station_s_screen_scrolls_and_nothing_is_cut(
    browser: Browser, screens: dict[str, str], language: str, screen: tuple[int, int]
) -> None:
    with opened(browser, "about:blank", *screen) as page:
        for station in (NAMES[language][0], "pretreat booth"):
            page.goto(f"{screens[language]}/station/{quote(station)}")
            settled(page)
            assert page.evaluate(HIGHER) <= 0
            assert page.evaluate(SCROLLED) == []
            assert page.evaluate(FORM) <= 0
            assert page.evaluate(CUT) == []
            assert page.evaluate(LETTERS_PX) >= 9


@pytest.mark.parametrize("screen", SCREENS, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize(("language", "more"), [("en", "more"), ("de", "weitere")])
def test_what_there_is_no_room_for_is_counted(
    browser: Browser, screens: dict[str, str], language: str, more: str, screen: tuple[int, int]
) -> None:
    with opened(browser, f"{screens[language]}/station/{quote(NAMES[language][0])}", *screen) as page:
        shown, told = settled(page).evaluate(ROWS)
        assert told == ("" if shown == SHOWN else f"+{SHOWN - shown} {more}")
        assert shown == SHOWN or language == "de"


@pytest.mark.parametrize("screen", [(360, 740), (1280, 800)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_that_nothing_is_recorded_lies_on_no_answer(browser: Browser, tmp_path: Path, screen: tuple[int, int]) -> None:
    with rig.house(tmp_path, its_shop=shop_of("de")) as house, house.listening() as server:
        pressed(house, *NAMES["de"])
        house.service.recording.failed(LedgerError("full"))
        with opened(browser, f"{server.url}/station/{quote(LONG)}", *screen) as page:
            assert settled(page).evaluate(CUT) == []
            strip, answer = (page.locator(part).bounding_box() for part in ("#live .old", ".answer"))
            assert strip is not None
            assert answer is not None
            assert strip["y"] + strip["height"] <= answer["y"] + 1
        house.settings.live.close()


@pytest.mark.parametrize("screen", SCREENS, ids=lambda size: f"{size[0]}x{size[1]}")
def test_the_answer_is_whole_beside_the_camera_s_view_and_scans_that_wait(
    browser: Browser, screens: dict[str, str], screen: tuple[int, int]
) -> None:
    with opened(browser, f"{screens['de']}/station/{quote(LONG)}", *screen) as page:
        settled(page).evaluate("""() => {
          document.getElementById("view").hidden = false;
          const kept = document.getElementById("kept");
          kept.hidden = false;
          kept.textContent = `12 ${kept.dataset.many}`;
        }""")
        assert settled(page).evaluate(CUT) == []
        assert page.evaluate(HIGHER) <= 0


def test_a_press_that_is_free_shows_its_state_and_no_dash(browser: Browser, tmp_path: Path) -> None:
    with rig.house(tmp_path) as house, house.listening() as server:
        with opened(browser, f"{server.url}/station/press%201") as page:
            assert page.locator(".presses li").inner_text().strip() == "○ FREE"
        house.settings.live.close()


def test_a_list_grows_again_with_its_screen(browser: Browser, screens: dict[str, str]) -> None:
    with opened(browser, f"{screens['en']}/station/press%201", 640, 280) as page:
        assert settled(page).evaluate(ROWS)[0] < SHOWN
        page.set_viewport_size({"width": 1920, "height": 1080})
        assert settled(page).evaluate(ROWS) == [SHOWN, ""]
