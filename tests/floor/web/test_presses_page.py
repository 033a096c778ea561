"""The presses of the office in a real browser: they count as the wall does."""

from playwright.sync_api import Browser, expect

from shared.codes import CodeType
from shared.files.cards import STATION_DOWN
from shared.files.jobfile import parse_job
from tests.floor.web.browser import browser, opened
from tests.floor.web.crowd import scan
from tests.floor.web.test_aloud import LISTEN, LIVE, Open, counted_s, floor, pressed
from tests.making import card, job_data

__all__ = ["browser", "floor"]


def test_the_presses_of_the_office_count_as_the_wall_does(browser: Browser, floor: Open) -> None:
    house, url = floor
    with opened(browser, "about:blank", before=LISTEN) as page:
        page.clock.install()
        page.goto(f"{url}/presses")
        expect(page.locator("#live tbody tr").first).to_contain_text("FREE")
        [piece] = house.job()
        pressed(house, piece)
        assert counted_s(page, 4) >= 3  # what is shown is up to a fifth of a second old
        assert page.evaluate("aloud") == []


def test_a_link_keeps_the_focus_while_the_presses_change(browser: Browser, floor: Open) -> None:
    house, url = floor
    [piece] = house.service.take(parse_job(job_data(colour="white"), house.service.shop)).pieces
    assert scan(house, piece, "printer 1", after_s=39).good
    with opened(browser, f"{url}/presses") as page:
        link = page.locator(f"#wet-{piece}")
        link.focus()
        scan(house, card(CodeType.COMMAND, STATION_DOWN), "press 1")
        expect(page.locator("#live tbody tr").first).to_contain_text("DOWN")
        expect(link).to_be_focused()


def test_only_alarms_are_said(browser: Browser, floor: Open) -> None:
    _, url = floor
    with opened(browser, f"{url}/presses") as page:
        assert page.evaluate(LIVE) == [["stops", "assertive"], ["news", "polite"]]
