"""How the pages lie on the screens that a shop has, on a day when there is more than any of them can hold."""

from collections.abc import Iterator
from itertools import combinations

import pytest
from playwright.sync_api import Browser

from tests.floor.web import rig
from tests.floor.web.browser import browser, opened
from tests.floor.web.crowd import ALARMS, JOBS, crowded

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
    const shortened = element.closest("h1, h3, .customer, .few")?.getBoundingClientRect().right ?? Infinity;
    const boxes = shortened < Infinity ? [range.getBoundingClientRect()] : range.getClientRects();
    for (const box of boxes) {
      // The letters stand in the middle of the line's box: what is above and below them is empty.
      const air = box.height / 5;
      const right = Math.min(box.right, shortened);
      if (right <= box.left) continue;
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
    turned: list[set[str]] = [set(), set(), set()]
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
    _, wet, jobs = turned
    assert len([row for row in wet if "TOO LONG" in row]) == ALARMS - 1
    assert len(jobs) == JOBS


def test_nothing_moves_for_those_who_do_not_want_it(browser: Browser, site: tuple[str, str]) -> None:
    for path in ("/wall", "/station/press%201"):
        with opened(browser, site[0] + path) as page:
            page.emulate_media(reduced_motion="reduce")
            assert page.evaluate(MOVING) == []
