"""Who asks for a page, what that lets them do, and whether a form is one of ours.

Never takes a session in an address, where it would be written down.
"""

import asyncio
import hmac
from collections.abc import Awaitable, Callable, Sequence
from inspect import iscoroutinefunction
from typing import NamedTuple, cast
from urllib.parse import quote, urlencode, urlsplit

from anyio import CapacityLimiter, to_thread
from msgspec import Struct
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from floor.doors.access import ROLES, Access, Role
from floor.doors.refusals import wants_html
from floor.web.gate.access import is_from_here
from shared.clock import Clock

COOKIE = "piecewalk"
HERE = "here"
"""The session of this machine, where nobody has set a password."""
TOKEN_FIELD = "form_token"
SMALL_FORM_BYTES = 10_000
FORM_WITHIN_S = 60.0
LOGINS_WAITING_MAX = 8
"""Passwords are tried one at a time, so that guessing them takes no thread from the scans."""
FIELDS_MAX, FILES_MAX = 50, 20
SAFE_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
        "font-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",  # with no-referrer a browser calls the origin of our own forms null
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=()",
}


class Caller(Struct, frozen=True):
    """Somebody who may open pages: in which role, and in which session."""

    role: Role
    session: str

    def may(self, role: Role) -> bool:
        """Whether the role is theirs, or below theirs."""
        return ROLES.index(self.role) >= ROLES.index(role)


NOBODY = Caller("view", "nobody")
"""Whoever has no session yet: what their form brings back is no secret, and the password is what counts."""

Page = Callable[[Request, Caller], Response] | Callable[[Request, Caller], Awaitable[Response]]
"""One that waits for the ledger or draws is a plain function: it gets a thread of its own."""


class Tab(NamedTuple):
    """A page that every page of the office leads to: its address, its name, and who may open it."""

    path: str
    name: str
    role: Role


class Guard:
    """Lets in who may come in."""

    def __init__(self, access: Access, clock: Clock) -> None:
        self.access = access
        self._clock = clock
        self._one_at_a_time = CapacityLimiter(1)
        self._trying = 0
        self.tabs: list[Tab] = []
        """In the order in which their pages were put together."""

    def page(self, path: str, page: Page, role: Role, methods: Sequence[str] = ("GET",), tab: str = "") -> Route:
        """A page for those who have a role; who has none is asked for a password. With a `tab` all pages lead to it."""
        if tab:
            self.tabs.append(Tab(path, tab, role))

        async def endpoint(request: Request) -> Response:
            caller = self.caller(request)
            if caller is None and request.method in {"GET", "HEAD"} and wants_html(request) and self.access.roles():
                return RedirectResponse(f"/login?{urlencode({'to': _address(request)})}", 303)
            if caller is None or not caller.may(role):
                raise HTTPException(403)
            if iscoroutinefunction(page):
                return cast(Response, await page(request, caller))
            return cast(Response, await run_in_threadpool(page, request, caller))

        return Route(path, endpoint, methods=list(methods))

    def caller(self, request: Request) -> Caller | None:
        """Who asks. Where no password is set that is anybody at this machine, and nobody else."""
        if not self.access.roles():
            return Caller("office", HERE) if is_from_here(request) else None
        cookie = request.cookies.get(COOKIE, "")
        session = self.access.session(cookie, self._clock.now())
        return Caller(session.role, cookie) if session else None

    def form_token(self, caller: Caller) -> str:
        """What the forms of a caller's pages bring back."""
        return self.access.form_token(caller.session)

    async def form(self, request: Request, caller: Caller, bytes_max: int = SMALL_FORM_BYTES) -> FormData:
        """A form that one of our own pages sent. Raises HTTPException for any other."""
        if not same_site(request):
            raise HTTPException(403)
        length = request.headers.get("Content-Length", "")
        if not length.isdecimal() or int(length) > bytes_max:
            raise HTTPException(413)
        try:
            async with asyncio.timeout(FORM_WITHIN_S):
                form = await request.form(max_files=FILES_MAX, max_fields=FIELDS_MAX, max_part_size=SMALL_FORM_BYTES)
        except (TimeoutError, ClientDisconnect):
            raise HTTPException(408) from None
        token = form.get(TOKEN_FIELD)
        if not isinstance(token, str) or not self._is_of(caller, token):
            await form.close()
            raise HTTPException(403)
        return form

    def _is_of(self, caller: Caller, token: str) -> bool:
        return hmac.compare_digest(token.encode("utf-8", "replace"), self.form_token(caller).encode())

    async def log_out(self, caller: Caller) -> None:
        """End the caller's session, whoever else has its cookie."""
        await run_in_threadpool(self.access.end, caller.session, self._clock.now())

    async def log_in(self, password: str) -> tuple[Role, str] | None:
        """The role that a password opens, and the cookie of a new session. Raises HTTPException when too many try."""
        if self._trying > LOGINS_WAITING_MAX:
            raise HTTPException(429)
        self._trying += 1  # counted here: the limiter sees those that come together only after all have come
        try:
            role = await to_thread.run_sync(self.access.role_of, password, limiter=self._one_at_a_time)
        finally:
            self._trying -= 1
        return (role, self.access.begin(role, self._clock.now())) if role else None


def same_site(request: Request) -> bool:
    """Whether a page of ours sent this, as far as the browser tells; what tells nothing is no browser."""
    site = request.headers.get("Sec-Fetch-Site")
    origin = request.headers.get("Origin")
    return site in {None, "same-origin"} and (origin is None or urlsplit(origin).netloc == request.headers.get("Host"))


def _address(request: Request) -> str:
    """What was asked for, as it stands in an address."""
    query = request.scope["query_string"].decode("latin-1")
    return quote(request.scope["path"]) + (f"?{query}" if query else "")


class SafeHeaders:
    """Puts the headers on every answer that keep a browser from doing what no page of ours asks for."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._headers = [(name.lower().encode(), value.encode()) for name, value in SAFE_HEADERS.items()]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def safely(message: Message) -> None:
            if message["type"] == "http.response.start":
                present = {name for name, _ in message["headers"]}
                message["headers"] = [
                    *message["headers"],
                    *(header for header in self._headers if header[0] not in present),
                ]
            await send(message)

        await self._app(scope, receive, safely)
