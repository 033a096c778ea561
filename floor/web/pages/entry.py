"""The way in: the password, and the list of screens.

Never says whether a role exists, and never lets anybody try passwords fast.
"""

from collections import OrderedDict
from datetime import datetime, timedelta

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from floor.doors.access import LASTS
from floor.web.gate.guard import COOKIE, HERE, NOBODY, Caller
from floor.web.pages.site import Site, see_other
from shared.clock import Clock

TRIES = 5
"""So many wrong passwords in a row are nobody's fault."""
FIRST_WAIT = timedelta(seconds=2)
LONGEST_WAIT = timedelta(minutes=10)
KNOWN_MAX = 1_000
"""Addresses that are remembered; a network cannot fill the memory."""


class Tries:
    """How often each address gave a wrong password, and when it may try again."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._wrong: OrderedDict[str, tuple[int, datetime]] = OrderedDict()

    def wait(self, address: str) -> timedelta:
        """How long an address has to wait before its next try."""
        wrong, at = self._wrong.get(address, (0, self._clock.now()))
        if wrong < TRIES:
            return timedelta(0)
        pause = min(FIRST_WAIT * 2.0 ** (wrong - TRIES), LONGEST_WAIT)
        wait: timedelta = at + pause - self._clock.now()
        return max(wait, timedelta(0))

    def failed(self, address: str) -> None:
        """One more wrong password."""
        wrong, _ = self._wrong.pop(address, (0, None))
        self._wrong[address] = min(wrong + 1, TRIES + 20), self._clock.now()
        if len(self._wrong) > KNOWN_MAX:
            self._wrong.popitem(last=False)

    def forget(self, address: str) -> None:
        """A right one."""
        self._wrong.pop(address, None)


class EntryPages:
    """/, /login and /logout."""

    def __init__(self, site: Site, clock: Clock) -> None:
        self._site = site
        self._tries = Tries(clock)

    def routes(self) -> list[Route]:
        """What the app has to serve."""
        return [
            self._site.guard.page("/", self.screens, "view", tab="Screens"),
            Route("/login", self.ask),
            Route("/login", self.log_in, methods=["POST"]),
            self._site.guard.page("/logout", self.log_out, "view", ["POST"]),
        ]

    def screens(self, request: Request, caller: Caller) -> Response:
        """Every screen that the caller may open."""
        return self._site.page(request, caller, "screens.html", stations=list(self._site.shop.stations))

    async def ask(self, request: Request) -> Response:
        return self._asked(request)

    def _asked(self, request: Request, status: int = 200, wrong: str = "") -> Response:
        to = request.query_params.get("to", "/")
        return self._site.page(request, NOBODY, "login.html", status, to=to, wrong=wrong)

    async def log_in(self, request: Request) -> Response:
        """A session for a right password; a wait after wrong ones."""
        address = request.client.host if request.client else ""
        form = await self._site.guard.form(request, NOBODY)
        if wait := self._tries.wait(address):
            response = self._asked(request, 429, "too-soon")
            response.headers["Retry-After"] = str(int(wait.total_seconds()) + 1)
            return response
        self._tries.failed(address)  # until it proves right: tries that come at the same time count too
        opened = await self._site.guard.log_in(str(form.get("password", "")))
        if opened is None:
            return self._asked(request, 403, "wrong")
        self._tries.forget(address)
        role, cookie = opened
        response = see_other(_own_path(str(form.get("to", "/"))))
        response.set_cookie(
            COOKIE,
            cookie,
            max_age=int(LASTS[role].total_seconds()),
            httponly=True,
            samesite="strict",
            secure=request.url.scheme == "https",
        )
        return response

    async def log_out(self, request: Request, caller: Caller) -> Response:
        if caller.session == HERE:
            raise HTTPException(404)
        await self._site.guard.form(request, caller)
        await self._site.guard.log_out(caller)
        response = see_other("/login")
        response.delete_cookie(COOKIE)
        return response


def _own_path(path: str) -> str:
    """A path of ours; the start for what would lead elsewhere."""
    return path if path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable() else "/"
