"""A real browser for the tests that need one: Chromium, driven by playwright.

Never fetches a browser: it takes the one that the machine has.
"""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import NoReturn

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright
from playwright.sync_api import Error as NotDriven

WAIT_MS = 60_000
NAMES = ("chromium", "chromium-browser", "google-chrome")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser for a module's tests; not for the whole run, for while it is open asyncio.run cannot be used."""
    found = next(filter(None, map(shutil.which, NAMES)), None)
    if found is None:
        _without("there is no Chromium here")
    with sync_playwright() as playwright:
        try:
            browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
        except NotDriven as error:
            _without(str(error))
        with browser:
            expect.set_options(timeout=WAIT_MS)
            yield browser


def _without(why: str) -> NoReturn:
    said = f"the pages were not looked at in a browser: {why}"
    if "CI" in os.environ:
        pytest.fail(said)
    pytest.skip(said)


@contextmanager
def opened(
    browser: Browser, url: str, width: int = 1920, height: int = 1080, *, script: bool = True, before: str = ""
) -> Iterator[Page]:
    """A page in a profile of its own, as on a machine of its own; what goes wrong in its script is an error.

    `before` is a script that runs before those of the page.
    """
    with browser.new_context(viewport={"width": width, "height": height}, java_script_enabled=script) as profile:
        profile.set_default_timeout(WAIT_MS)
        page = profile.new_page()
        page.add_init_script(before)
        errors: list[str] = []
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.goto(url)
        yield page
        assert errors == []
