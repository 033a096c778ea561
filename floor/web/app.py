"""The floor's web application, put together from the routes of each part.

Never listens by itself: floor.web.server does.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.routing import BaseRoute, Mount
from starlette.staticfiles import StaticFiles

from floor.doors.access import Access
from floor.doors.benches import Benches
from floor.doors.intake import Intake
from floor.doors.private_file import PrivateFileError
from floor.doors.refusals import NotTaken
from floor.ledger import LedgerError
from floor.service.service import Service
from floor.web import openapi
from floor.web.gate.guard import Guard, SafeHeaders
from floor.web.gate.live import Live
from floor.web.gate.names import KnownNames, names_of
from floor.web.health import Health
from floor.web.metrics import Metrics
from floor.web.pages.entry import EntryPages
from floor.web.pages.jobs import JobPages
from floor.web.pages.office import OfficePages
from floor.web.pages.site import Site
from floor.web.pages.station import StationPages
from floor.web.pages.wall import WallPages
from shared.scan import Answer, Scan
from tickets.kit.fonts import FOLDER as FONTS_OF_PAPER

STATIC = Path(__file__).with_name("static")
FONTS = FONTS_OF_PAPER
"""Those of the travellers: the wall looks like them, whatever the screen's computer has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What the pages are made with, beside the floor itself.

    `scan` takes a read as it would from a scanner at the floor, with all that hangs on it, such as a remake's ticket.
    `notice` is what the office is to be told on each of its pages; nothing, for the most part.
    """

    folder: Path
    benches: Benches
    access: Access
    metrics: Metrics
    scan: Callable[[Scan], Answer]
    live: Live = field(default_factory=Live)
    notice: Callable[[], str] = str


def build_app(service: Service, settings: Settings) -> Starlette:
    """The application. Every answer to a program that is no success has the shape of floor.doors.refusals."""
    site = Site(service, Guard(settings.access, service.clock), settings.live, settings.notice)
    service.follow(settings.live.news)
    service.recording.follow(settings.live.news)
    routes: list[BaseRoute] = [
        *Intake(settings.scan, settings.benches, service.clock).routes(),
        *Health(service).routes(),
        *settings.metrics.routes(),
        *openapi.routes(),
        *WallPages(site).routes(),
        *StationPages(site, settings.scan).routes(),
        *JobPages(site, settings.folder).routes(),
        *OfficePages(site, settings.folder).routes(),
        *EntryPages(site, service.clock).routes(),
        Mount("/static", StaticFiles(directory=STATIC)),
        Mount("/fonts", StaticFiles(directory=FONTS)),
    ]
    return Starlette(
        routes=routes,
        middleware=[
            Middleware(SafeHeaders),
            Middleware(KnownNames, names=names_of(service.shop.file.pages), refuse=site.on_foreign_name),
        ],
        exception_handlers={
            NotTaken: site.on_not_taken,
            LedgerError: site.on_ledger,
            PrivateFileError: site.on_private_file,
            HTTPException: site.on_http,
            Exception: site.on_mistake,
        },
    )
