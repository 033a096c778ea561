"""The wall: the board of the terminal's wall, drawn for a browser, and how large its letters must be.

Never says anything that the terminal's wall would say otherwise: signs and sentences come from floor.wall.
"""

from collections.abc import Sequence
from itertools import takewhile
from math import radians, sqrt, tan
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from floor.core.plan.board import Board
from floor.doors.refusals import json
from floor.wall.alarms import Showing, by_sign, notices
from floor.wall.curing import presses_of
from floor.wall.signs import job_rank, job_sign, wet_sign
from floor.wall.terminal import LIVE
from floor.web.gate.guard import Caller
from floor.web.gate.live import Drawn
from floor.web.pages.site import Site
from shared.files.shop import Shop

READABLE = radians(20 / 60)
"""Capital letters of 20 minutes of arc are read with ease: ISO 9241-303, 5.5.1, prefers 20' to 22'."""
CAPITALS = 0.7
"""The height of capitals as a share of the size of their font; about this in most fonts."""
CROWD = 5
"""From so many presses on each has one line."""
SCREEN_SHAPE = (16, 9)
INCH_MM = 25.4
LETTER_VW = (1.2, 12.0)
"""Below it no screen is read, above it no word fits."""


class WallPages:
    """/wall, its stream, and its sizes."""

    def __init__(self, site: Site) -> None:
        self._site = site

    def routes(self) -> list[Route]:
        """What the app has to serve."""
        return [
            *self._site.live_pages("/wall", self.get, self.stream, "view"),
            self._site.guard.page("/wall.css", self.sizes, "view"),
            self._site.guard.page("/api/board", self.data, "view"),
        ]

    def get(self, request: Request, caller: Caller) -> Response:
        shown = self._site.board(in_alarm=True)
        view = wall_view(shown, self._site.shop, Showing(recording=self._site.recording))
        return self._site.page(request, caller, "wall.html", query=request.url.query, board=shown, **view)

    async def stream(self, request: Request, caller: Caller) -> Response:
        return self._site.stream(request, caller, "/wall", self._draw)

    def data(self, _request: Request, _caller: Caller) -> Response:
        """The board as data."""
        return json(self._site.board())

    def sizes(self, request: Request, _caller: Caller) -> Response:
        """How large a letter must be to be read from as far off as the page's address, or the shop file, says."""
        pages = self._site.shop.file.pages
        distance_m = _number(request, "distance_m", pages.distance_m)
        screen_in = _number(request, "screen_in", pages.screen_in)
        css = f":root {{ --letter: {letter_vw(distance_m, screen_in):.3f}vw; }}\n"
        return Response(css, media_type="text/css", headers={"Cache-Control": "no-store"})

    def _draw(self) -> Drawn:
        shown = self._site.board(in_alarm=True)
        view = wall_view(shown, self._site.shop, Showing(recording=self._site.recording))
        return self._site.drawn("wall_now.html", board=shown, **view)


def wall_view(board: Board, shop: Shop, showing: Showing = LIVE) -> dict[str, Any]:
    """What the wall shows of a board, each thing with its sign."""
    presses = presses_of(board)
    return {
        "notices": by_sign(notices(board, shop, showing)),
        "presses": presses,
        "kind": kind_of([press.station for press in presses]),
        "wet": [(wet, wet_sign(wet)) for wet in board.wet],
        "jobs": [(job, job_sign(job)) for job in sorted(board.jobs, key=job_rank)],
    }


def kind_of(names: Sequence[str]) -> str:
    """The words with which every name of a crowd begins, said once above it: "press" of "press 1" to "press 8"."""
    if len(names) < CROWD:
        return ""
    by_word = zip(*(name.split(" ")[:-1] for name in names), strict=False)
    return " ".join(words[0] for words in takewhile(lambda words: len({*words}) == 1, by_word))


def letter_vw(distance_m: float, screen_in: float) -> float:
    """The size of a font that can be read from a distance, as a percentage of the width of a screen of 16 to 9.

    The diagonal of the screen is in inches, as screens are sold.
    """
    width, height = SCREEN_SHAPE
    width_mm = screen_in * INCH_MM * width / sqrt(width**2 + height**2)
    font_mm = 1_000 * distance_m * tan(READABLE) / CAPITALS
    least, most = LETTER_VW
    return min(max(100 * font_mm / width_mm, least), most)


def _number(request: Request, name: str, default: float) -> float:
    """A number of the address; the shop file's where there is none that makes sense."""
    try:
        number = float(request.query_params.get(name, default))
    except ValueError:
        return default
    return number if 0.1 <= number <= 1_000 else default
