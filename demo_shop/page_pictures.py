"""Pictures of the demo's pages, drawn by a browser as they were at a moment of its day.

Never used by the demo itself: it needs playwright and Chromium.
"""

import shutil
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from datetime import datetime
from io import BytesIO
from itertools import takewhile
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image

from floor.cli.opening import Folder
from floor.doors.access import Access
from floor.doors.benches import Benches
from floor.ledger import MemoryLedger
from floor.service.service import Service
from floor.web.app import Settings, build_app
from floor.web.metrics import Metrics
from floor.web.server import WebServer
from shared.clock import SetClock
from shared.events.recorded import fact_of

SHAPE = {"width": 1280, "height": 720}
DRAWN_MS = 700
"""The page has heard of the floor, and its letters are there."""


def page_pictures(folder: Folder, at: datetime, pages: Mapping[str, str]) -> Iterator[tuple[str, Image.Image]]:
    """Pictures by their names, of pages by their paths."""
    from playwright.sync_api import sync_playwright

    with _serving(folder, at) as url, sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        for name, path in pages.items():
            page = browser.new_page(viewport=SHAPE)  # type: ignore[arg-type]
            page.goto(url + path)
            page.wait_for_timeout(DRAWN_MS)
            yield name, Image.open(BytesIO(page.screenshot())).convert("RGB")
            page.close()
        browser.close()


@contextmanager
def _serving(folder: Folder, at: datetime) -> Iterator[str]:
    """The pages of the floor as it was at a moment, where the clock stands still."""
    with TemporaryDirectory() as name, closing(_ledger(folder, at)) as ledger:
        place = Path(name)
        with Service(folder.shop, ledger, SetClock(at)) as service:
            settings = Settings(
                folder=place,
                benches=Benches(place),
                access=Access(place),
                metrics=Metrics(service),
                scan=service.scan,
            )
            server = WebServer(build_app(service, settings), "127.0.0.1", 0)
            server.start()
            try:
                yield server.url
            finally:
                settings.live.close()
                server.stop()


def _ledger(folder: Folder, at: datetime) -> MemoryLedger:
    copy = MemoryLedger()
    with folder.ledger() as ledger, copy.transaction() as transaction:
        for row in takewhile(lambda row: row.recorded_at <= at, ledger.rows()):
            transaction.append([fact_of(row)], row.recorded_at)
    return copy
