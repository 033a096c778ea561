"""How the pages lie on the screens that a shop has, on a day when there is more than any of them can hold."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from itertools import combinations, product
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from demo_shop.crowd import AT, furnish, open_crowd
from floor.cli.opening import Folder
from floor.web.app import STATIC
from shared.clock import SetClock
from shared.files.jobfile import parse_job
from shared.files.shop import Shop, parse_shop
from shared.files.shopfile import FILE_NAME
from tests.floor.web import rig
from tests.floor.web.browser import browser, opened
from tests.floor.web.crowd import ALARMS, JOBS, crowded, scan
from tests.making import job_data, shop, shop_data, shop_holding

__all__ = ["browser"]

Word = tuple[str, float, float, float, float]
"""A piece of text, and the left, top, right and bottom of its letters."""
SCREENS = {"a phone": (360, 740), "1080p": (1920, 1080), "4K": (3840, 2160)}
PAGES = ("/wall", "/station/press%201", "/", "/jobs", "/jobs/J0001", "/pieces/{piece}", "/presses", "/care", "/week")
WORDS = """() => {
  const found = [];
  const walker = document.createTreeWalker(document.getElementById("live"), NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    if (!walker.currentNode.data.trim() || !element.checkVisibility()) continue;
    const range = document.createRange();
    range.selectNodeContents(walker.currentNode);
    // What is too long for one of these ends in three dots.
    const shortened = element.closest("h1, h3 span, .list span, .customer, .when, .few span");
    const edge = shortened?.getBoundingClientRect() ?? { right: Infinity, bottom: Infinity };
    // What finds no room in this line is not shown at all.
    const line = element.closest(".few")?.getBoundingClientRect() ?? { bottom: Infinity };
    const boxes = shortened?.matches(":not(h1)") ? [range.getBoundingClientRect()] : range.getClientRects();
    for (const box of boxes) {
      // The letters stand in the middle of the line's box: what is above and below them is empty.
      const air = box.height / 5;
      const right = Math.min(box.right, edge.right);
      if (right <= box.left || box.top + air >= Math.min(edge.bottom, line.bottom)) continue;
      found.push([walker.currentNode.data.trim(), box.left, box.top + air, right, box.bottom - air]);
    }
  }
  return found;
}"""
LISTS = """() => [...document.querySelectorAll("[data-turns]")].map((list) => {
  const room = list.getBoundingClientRect();
  return [...list.children].map((row) => {
    const box = row.getBoundingClientRect();
    const inside = box.top >= room.top - 1 && box.bottom <= room.bottom + 1;
    return [row.textContent.trim(), row.classList.contains("urgent"), row.checkVisibility() && inside];
  });
})"""
MOVING = """() => [...document.querySelectorAll("*")].filter((element) => {
  const style = getComputedStyle(element);
  return style.animationName !== "none" || style.transitionDuration !== "0s" || style.scrollBehavior !== "auto";
}).map((element) => element.outerHTML)"""
SCROLLS = (
    "() => [document.documentElement.scrollWidth - innerWidth, document.documentElement.scrollHeight - innerHeight]"
)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    """The address of a crowded floor, and one of its pieces."""
    with rig.house(tmp_path_factory.mktemp("shop")) as house, house.listening() as server:
        pieces = crowded(house)
        yield server.url, pieces[0]
        house.settings.live.close()


@pytest.mark.parametrize("screen", SCREENS)
def test_no_page_is_wider_than_its_screen_and_the_wall_is_not_higher(
    browser: Browser, site: tuple[str, str], screen: str
) -> None:
    url, piece = site
    with opened(browser, url, *SCREENS[screen]) as page:
        for path in PAGES:
            page.goto(url + path.format(piece=piece))
            wider, higher = page.evaluate(SCROLLS)
            assert wider <= 0, path
            assert higher <= 0 or path != "/wall"


@pytest.mark.parametrize("screen", SCREENS)
def test_nothing_lies_on_anything_else_and_on_the_wall_nothing_is_cut_off(
    browser: Browser, site: tuple[str, str], screen: str
) -> None:
    width, height = SCREENS[screen]
    with opened(browser, "about:blank", width, height) as page:
        for path in ("/wall", "/wall?distance_m=8&screen_in=55", "/station/press%201"):
            page.goto(site[0] + path)
            page.wait_for_function("() => document.fonts.status === 'loaded'")
            words = page.evaluate(WORDS)
            assert len(words) > 10
            assert [pair for pair in combinations(words, 2) if lie_on_each_other(*pair)] == []
            if path != "/station/press%201":
                assert [word for word in words if word[1] < 0 or word[3] > width or word[4] > height] == []


def lie_on_each_other(one: Word, other: Word) -> bool:
    """By more than a pixel."""
    _, left, top, right, bottom = one
    _, its_left, its_top, its_right, its_bottom = other
    across = min(right, its_right) - max(left, its_left)
    down = min(bottom, its_bottom) - max(top, its_top)
    return across > 1 and down > 1


@pytest.mark.parametrize("screen", ["a phone", "1080p"])
def test_every_alarm_is_always_told_and_in_a_list_nothing_hides_what_is_urgent(
    browser: Browser, site: tuple[str, str], screen: str
) -> None:
    turned: list[set[str]] = [set(), set(), set(), set()]
    with opened(browser, "about:blank", *SCREENS[screen]) as wall:
        wall.clock.install()  # before the page, so that its timers run by it
        wall.goto(site[0] + "/wall")
        for _ in range(JOBS):
            lists = wall.evaluate(LISTS)
            alarms, *_ = lists
            assert [row for row, _, visible in alarms if not visible] == []
            for rows, seen in zip(lists, turned, strict=True):
                shown = {row: urgent for row, urgent, visible in rows if visible}
                hidden_urgent = [row for row, urgent, visible in rows if urgent and not visible]
                assert shown
                assert not hidden_urgent or all(shown.values())
                seen.update(shown)
            wall.clock.fast_forward(8_000)
    _, _, wet, jobs = turned
    assert len([row for row in wet if "TOO LONG" in row]) == ALARMS - 1
    assert len(jobs) == JOBS


def test_nothing_moves_for_those_who_do_not_want_it(browser: Browser, site: tuple[str, str]) -> None:
    for path in ("/wall", "/station/press%201"):
        with opened(browser, site[0] + path) as page:
            page.emulate_media(reduced_motion="reduce")
            assert page.evaluate(MOVING) == []


# The wall across a room

FAR = "/wall?distance_m=5&screen_in=43"
LONG_NAME = "Textildruckerei Nordwind am Hafen GmbH & Co. KG"
READ = """() => [...document.querySelectorAll(".jobs li")].filter((job) => job.checkVisibility()).map((job) => {
  const customer = job.querySelector(".customer");
  const edge = customer.getBoundingClientRect().right;
  const range = document.createRange();
  let letters = 0;
  for (; letters < customer.firstChild.length; letters++) {
    range.setStart(customer.firstChild, letters);
    range.setEnd(customer.firstChild, letters + 1);
    if (range.getBoundingClientRect().right > edge + 1) break;
  }
  return [customer.textContent, letters];
})"""
CUT_NAME = """() => {
  const name = document.querySelector("h1");
  return Math.max(name.scrollHeight - name.clientHeight, name.scrollWidth - name.clientWidth);
}"""
CUT_PRESSES = """() => [...document.querySelectorAll(".presses h3 span")].filter(
  (part) => part.scrollWidth > part.clientWidth
).map((part) => part.textContent)"""
BELOW = """() => [...document.querySelectorAll("#live > *")].filter(
  (part) => part.getBoundingClientRect().bottom > innerHeight + 1
).map((part) => part.className)"""


def german(presses: int = 1) -> Shop:
    """A shop with a long name that speaks German, and so many presses."""
    data = shop_data()
    more = [{"name": f"press {n}", "steps": ["cure"], "machine_per_hour": "4.00"} for n in range(2, presses + 1)]
    named = {**data["shop"], "language": "de", "name": LONG_NAME}
    return parse_shop({**data, "shop": named, "stations": [*data["stations"], *more]})


@contextmanager
def listening(folder: Path, its_shop: Shop, *, crowd: bool) -> Iterator[str]:
    """The address of a floor of that shop, with much on it or nothing."""
    with rig.house(folder, its_shop=its_shop) as house, house.listening() as server:
        if crowd:
            crowded(house)
        yield server.url
        house.settings.live.close()


@contextmanager
def wall(browser: Browser, url: str) -> Iterator[Page]:
    """The wall, its letters and its lists in place."""
    with opened(browser, url + FAR) as page:
        page.wait_for_function("() => document.fonts.status === 'loaded'")
        page.evaluate("() => document.fonts.ready")
        yield page


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_customer_can_be_read_beside_three_jobs_or_more(browser: Browser, tmp_path: Path, language: str) -> None:
    with (
        listening(tmp_path, shop() if language == "en" else german(), crowd=True) as url,
        wall(browser, url) as page,
    ):
        read = page.evaluate(READ)
        assert len(read) >= 3
        assert [customer for customer, letters in read if letters < min(10, len(customer))] == []


def test_a_list_that_takes_turns_says_which_rows_are_shown(browser: Browser, site: tuple[str, str]) -> None:
    with wall(browser, site[0]) as page:
        first = page.locator(".jobs .part").inner_text()
        assert re.fullmatch(rf"1–\d / {JOBS}", first)
        page.clock.install()
        page.reload()
        page.clock.fast_forward(9_000)
        second = page.locator(".jobs .part").inner_text()
        assert re.fullmatch(rf"1(–\d)?, \d(–\d)? / {JOBS}", second), "what is late stays, and the next rows follow"


def test_a_long_name_of_a_shop_is_whole_where_there_is_room(browser: Browser, tmp_path: Path) -> None:
    with listening(tmp_path, german(), crowd=False) as url, wall(browser, url) as page:
        assert page.evaluate(CUT_NAME) <= 1


@pytest.mark.parametrize("screen", [(1024, 600), (1280, 800), (1920, 1080)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_a_press_with_two_pieces_keeps_its_name_however_long_it_is_over_its_time(
    browser: Browser, tmp_path: Path, screen: tuple[int, int]
) -> None:
    with rig.house(tmp_path, its_shop=shop_holding(2)) as house, house.listening() as server:
        order = parse_job(job_data(colour="white", sizes={"M": 2}), house.service.shop)
        pieces = house.service.take(order).pieces
        for station, piece in product(("printer 1", "press 1"), pieces):
            assert scan(house, piece, station, after_s=39).good
        house.clock.advance(timedelta(minutes=12))
        with opened(browser, f"{server.url}/wall", *screen) as page:
            page.wait_for_function("() => document.fonts.status === 'loaded'")
            assert page.locator(".presses .piece").inner_text().endswith("+1")
            assert page.evaluate(CUT_PRESSES) == []
        house.settings.live.close()


WIDER = """() => [...document.querySelectorAll(".office .wide")]
  .map((table) => table.scrollWidth - table.clientWidth).filter((px) => px > 0)"""


def test_the_weeks_tables_show_their_last_column_on_a_small_notebook(browser: Browser, tmp_path: Path) -> None:
    with listening(tmp_path, german(), crowd=True) as url, opened(browser, f"{url}/week", 1280, 800) as page:
        assert page.evaluate(WIDER) == []


@pytest.mark.parametrize("presses", [2, 3, 9])
def test_however_many_presses_there_are_nothing_is_below_the_screen(
    browser: Browser, tmp_path: Path, presses: int
) -> None:
    with listening(tmp_path, german(presses=presses), crowd=True) as url, wall(browser, url) as page:
        assert page.evaluate(BELOW) == []
        assert page.evaluate(SCROLLS) == [0, 0]


CUT_NAMES = """() => [...document.querySelectorAll(".presses h3 span:first-child")]
  .filter((name) => name.scrollWidth > name.clientWidth + 1).map((name) => name.textContent)"""


@pytest.mark.parametrize("language", ["en", "de"])
def test_in_a_crowd_all_eight_presses_show_and_lists_end_in_how_many_more_there_are(
    browser: Browser, tmp_path: Path, language: str
) -> None:
    folder = furnish(tmp_path / "crowd", language)
    file = folder.path / FILE_NAME
    file.write_text(file.read_text(encoding="utf-8").replace("127.0.0.1:8765", "127.0.0.1:0"), encoding="utf-8")
    with open_crowd(Folder(folder.path, SetClock(AT))) as said:
        url = said.split()[-1]
        with opened(browser, f"{url}/wall", 1920, 1080) as page:
            page.wait_for_function("() => document.fonts.status === 'loaded'")
            page.wait_for_function("() => document.querySelector('.few .rest')")
            assert page.locator(".presses li:visible").count() == 8
            assert page.evaluate(CUT_NAMES) == []
            assert page.locator(".presses h3").first.inner_text().strip() in {"2", "5"}  # over their time
            rows = [row.strip() for row in page.locator(".notices .few").all_inner_texts()]
            assert not any(row.endswith(",") for row in rows)
            assert any(re.search(r"\+1\d\b", row) for row in rows)
            assert (
                page.evaluate(
                    "() => [...document.querySelectorAll('.jobs h2 .when')].map((name) => name.textContent).length"
                )
                == 3
            )


EDGES = """() => [...document.querySelectorAll(".jobs h2, .jobs li")].filter((row) => row.checkVisibility())
  .map((row) => [...row.querySelectorAll(".when")].map((cell) => Math.round(cell.getBoundingClientRect().right)))"""


@pytest.mark.parametrize("screen", SCREENS)
def test_where_a_browser_knows_no_subgrid_the_times_of_jobs_still_stand_under_their_headings(
    browser: Browser, site: tuple[str, str], screen: str
) -> None:
    """Subgrid came in 2023; what is for browsers without it is laid over what this one does."""
    css = (STATIC / "wall.css").read_text(encoding="utf-8")
    fallback = re.search(r"@supports not \(grid-template-columns: subgrid\) \{.*?\n(.*?)\n\}", css, re.DOTALL)
    assert fallback is not None
    with opened(browser, f"{site[0]}/wall", *SCREENS[screen]) as page:
        page.wait_for_function("() => document.fonts.status === 'loaded'")
        for rule in re.findall(r"\S[^{]*\{[^}]*\}", fallback[1]):
            page.evaluate(
                "(rule) => { const css = document.styleSheets[0]; css.insertRule(rule, css.cssRules.length) }", rule
            )
        heading, *rows = page.evaluate(EDGES)
        assert len(heading) == 3
        assert rows
        assert all(abs(edge - its) <= 2 for row in rows for edge, its in zip(row, heading, strict=True))
