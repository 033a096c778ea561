"""What every page has: the frame around it, the words of the shop's language, and the floor behind it.

Never writes HTML outside a template, where everything that comes from outside is escaped.
"""

from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from datetime import datetime, timedelta
from http import HTTPStatus
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from floor.core.plan.board import Board
from floor.core.plan.board import board as board_of
from floor.core.state.floor import Floor
from floor.core.state.job import Job
from floor.core.state.piece import Piece
from floor.doors.access import Role
from floor.doors.refusals import MISTAKE, NotTaken, not_found, on_http, on_mistake, on_not_taken, wants_html
from floor.service.service import Service
from floor.web.gate.guard import Caller, Guard, Page
from floor.web.gate.live import HEADERS, Draw, Drawn, Live
from shared import wording
from shared.codes import BadCode, grouped, parse
from shared.delivery import Refusal
from shared.files.shop import Shop
from shared.harmless import harmless
from shared.words import Words

BOARD_LASTS = timedelta(milliseconds=250)
"""As long a board is not drawn anew for the next page: it is what many pages want at once."""


class Site:
    """The floor, as its pages see it."""

    def __init__(self, service: Service, guard: Guard, live: Live, notice: Callable[[], str]) -> None:
        self.service = service
        self.guard = guard
        self.live = live
        self._notice = notice
        self.words = service.shop.words
        self._board: Board | None = None
        self._env = _environment(self.words, service.shop)

    @property
    def shop(self) -> Shop:
        """The shop."""
        return self.service.shop

    @property
    def recording(self) -> bool:
        """Whether reads can be recorded."""
        return not self.service.recording.trouble

    def now(self) -> datetime:
        """The floor's moment."""
        return self.service.clock.now()

    def floor(self, *, in_alarm: bool = False) -> AbstractContextManager[Floor]:
        """The floor, as new as the ledger, and standing still while it is held; for threads that may wait.

        However long pages look at it, no scan waits for them. Raises LedgerError when the ledger cannot be read; but a
        page that shows the alarm for that gets the floor as it was last.
        """
        return self.service.watcher.looking(self.service.recording.failed if in_alarm else None)

    def board(self, *, in_alarm: bool = False) -> Board:
        """The board, as new as a page needs it; otherwise as `floor`."""
        with self.floor(in_alarm=in_alarm) as floor:
            now, known = self.now(), self._board
            if known is None or known.seq != floor.seq or not timedelta(0) <= now - known.at < BOARD_LASTS:
                known = self._board = board_of(floor, self.shop, now)
            return known

    def html(self, template: str, **data: Any) -> str:
        """A template, filled."""
        return self._env.get_template(template).render(now=self.now(), recording=self.recording, **data)

    def page(self, request: Request, caller: Caller, template: str, status: int = 200, **data: Any) -> HTMLResponse:
        """A whole page for a caller."""
        token = self.guard.form_token(caller)
        frame = {"caller": caller, "path": request.url.path, "form_token": token, "notice": self._notice()}
        frame["tabs"] = self.guard.tabs
        headers = {"Cache-Control": "no-store"}
        return HTMLResponse(self.html(template, **frame, **data), status, headers=headers)

    def live_pages(self, path: str, page: Page, stream: Page, role: Role, tab: str = "") -> list[Route]:
        """A page, and the stream beside it that keeps it as new as the floor."""
        return [self.guard.page(path, page, role, tab=tab), self.guard.page(f"/live{path}", stream, role)]

    def stream(self, request: Request, caller: Caller, what: str, draw: Draw) -> Response:
        """What is drawn for `what`, now and whenever it changes, for as long as the caller's session lasts."""
        if request.method == "HEAD":
            return Response(headers=HEADERS)
        return self.live.stream(what, draw, lambda: self.guard.caller(request) == caller)

    def drawn(self, template: str, *, board: Board, **data: Any) -> Drawn:
        """The part of a page that changes, drawn from a board."""
        html = self.html(template, board=board, **data)
        return Drawn(board.seq, int(board.at.timestamp() * 1000), html)

    async def on_http(self, request: Request, error: Exception) -> Response:
        """No such page, or not for this caller: in words for a person, as data for a program."""
        assert isinstance(error, HTTPException), error
        if not wants_html(request):
            return await on_http(request, error)
        what, do = SAID.get(error.status_code, (HTTPStatus(error.status_code).phrase, ""))
        return self._error(error.status_code, what, do, error.headers)

    async def on_not_taken(self, request: Request, error: Exception) -> Response:
        """The same for our own refusals."""
        assert isinstance(error, NotTaken), error
        if not wants_html(request):
            return await on_not_taken(request, error)
        return self._error(error.status, error.refusal.what, error.refusal.do, error.headers)

    async def on_foreign_name(self, request: Request) -> Response:
        """Asked for by a name that is none of the floor's: a page from elsewhere may have had that lead here."""
        refusal = Refusal(
            what="The floor does not go by this name",
            where="Host",
            found=harmless(request.headers.get("Host", ""), 80),
            allowed="an address, this machine's own name, and the names in [pages] of the shop file",
            do="Use the floor's address, or write the name into the shop file, under [pages]: names",
        )
        return await self.on_not_taken(request, NotTaken(HTTPStatus.MISDIRECTED_REQUEST, refusal))

    async def on_ledger(self, request: Request, _error: Exception) -> Response:
        """The ledger could not be read or written; what was asked for was not done."""
        return await self.on_not_taken(request, _not_now("The ledger cannot be used just now"))

    async def on_private_file(self, request: Request, _error: Exception) -> Response:
        """The passwords cannot be read: then nobody may come in."""
        return await self.on_not_taken(request, _not_now("It is not known just now who may come in"))

    async def on_mistake(self, request: Request, error: Exception) -> Response:
        """A mistake of ours."""
        if not wants_html(request):
            return await on_mistake(request, error)
        return self._error(500, MISTAKE.what, MISTAKE.do, None)

    def _error(self, status: int, what: str, do: str, headers: Mapping[str, str] | None) -> Response:
        html = self.html("error.html", what=self.words.say(what), do=self.words.say(do))
        return HTMLResponse(html, status, {"Cache-Control": "no-store", **(headers or {})})


SAID = {
    400: ("That could not be understood", "Go back, and try again."),
    403: ("This is not for you", "Sign in with a password that opens it, or ask in the office."),
    404: ("There is no such page", "Check the address."),
    405: ("That cannot be done here", "Go back, and try again."),
    408: ("That took too long", "Try again in a moment."),
    413: ("That is too much at once", "Send smaller files."),
    429: ("Too many try at once", "Try again in a moment."),
}
"""What is said to a person, by the status; the rest has its English name."""


def _not_now(what: str) -> NotTaken:
    return NotTaken(503, Refusal(what=what, do="Try again in a moment."), {"Retry-After": "2"})


def job_of(floor: Floor, code: str) -> Job:
    """A job by its code. Raises NotTaken."""
    if code not in floor.jobs:
        raise not_found("There is no such job", code)
    return floor.jobs[code]


def piece_of(floor: Floor, text: str) -> Piece:
    """A piece by its code. Raises NotTaken."""
    code = parse(text)
    if isinstance(code, BadCode) or code.text not in floor.pieces:
        raise not_found("There is no such piece", text)
    return floor.pieces[code.text]


def see_other(path: str) -> RedirectResponse:
    """Where to look after a form was taken."""
    return RedirectResponse(path, 303)


def _harmless(value: object) -> object:
    """Text from outside as it is shown; what is HTML of ours, and what is no text, stays as it is."""
    plain = not isinstance(value, str) or isinstance(value, Markup) or (value.isascii() and value.isprintable())
    return value if plain else harmless(str(value))


def _environment(words: Words, shop: Shop) -> Environment:
    env = Environment(
        loader=PackageLoader("floor.web"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_harmless,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.globals |= {"_": words.say, "language": words.language, "shop": shop}
    env.filters |= _filters(shop, words.language)
    return env


def _filters(shop: Shop, locale: str) -> Mapping[str, Any]:
    zone, currency = shop.hours.zone, shop.currency
    return {
        "grouped": grouped,
        "duration": wording.duration,
        "minutes": wording.minutes,
        "percent": lambda share: wording.percent(share, locale),
        "quantity": lambda amount: wording.quantity(amount, locale=locale),
        "heading": lambda text: f"{text[:1].upper()}{text[1:]}".replace("\n", " "),
        "figure": lambda amount: wording.figure(amount, currency, locale),
        "price_figure": lambda amount: wording.price_figure(amount, currency, locale),
        "moment": lambda at, now: wording.moment(at, now, zone, locale),
        "full_moment": lambda at: wording.full_moment(at, zone, locale),
        "day_and_time": lambda at: wording.day_and_time(at, zone, locale),
        "local": lambda text: wording.full_moment(datetime.fromisoformat(text), zone, locale),
        "ms": lambda at: int(at.timestamp() * 1000),
        "spaced": wording.spaced,
    }
