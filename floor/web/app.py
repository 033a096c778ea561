"""The floor's web application, put together from the routes of each part.

Never listens by itself: floor.web.server does.
"""

from collections.abc import Callable
from dataclasses import dataclass

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.routing import BaseRoute

from floor.benches import Benches
from floor.service import Service
from floor.web import openapi
from floor.web.health import Health
from floor.web.intake import Intake
from floor.web.metrics import Metrics
from floor.web.refusals import NotTaken, on_http, on_mistake, on_not_taken
from shared.scan import Answer, Scan


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What the pages are made with, beside the floor itself.

    `scan` takes a read as it would from a scanner at the floor, with all that hangs on it, such as a remake's ticket.
    """

    benches: Benches
    metrics: Metrics
    scan: Callable[[Scan], Answer]


def build_app(service: Service, settings: Settings) -> Starlette:
    """The application. Every answer that is no success has the shape of floor.web.refusals."""
    routes: list[BaseRoute] = [
        *Intake(settings.scan, settings.benches, service.clock).routes(),
        *Health(service).routes(),
        *settings.metrics.routes(),
        *openapi.routes(),
    ]
    return Starlette(
        routes=routes,
        exception_handlers={NotTaken: on_not_taken, HTTPException: on_http, Exception: on_mistake},
    )
