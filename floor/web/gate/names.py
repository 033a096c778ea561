"""The names by which the floor may be asked for: nobody else's name leads a browser of the shop to it.

Never looks a name up: whoever owns one can have it lead anywhere.
"""

import socket
from collections.abc import Awaitable, Callable
from ipaddress import ip_address

from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from floor.doors.address import address
from floor.web.gate.access import name_asked_for
from shared.files.shopfile import Pages


def names_of(pages: Pages) -> frozenset[str]:
    """The machine's own names, and those in the shop file. One under ".local" is answered by its network alone
    (RFC 6762, section 3).
    """
    host = socket.gethostname()
    short = host.partition(".")[0]
    listen, _ = address(pages.listen)
    return frozenset(map(str.lower, ("localhost", host, short, f"{short}.local", listen, *pages.names)))


class KnownNames:
    """Lets nothing through that was asked for by another name; an address is nobody's name."""

    def __init__(self, app: ASGIApp, names: frozenset[str], refuse: Callable[[Request], Awaitable[Response]]) -> None:
        self._app = app
        self._names = names
        self._refuse = refuse

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        request = Request(scope)
        name = name_asked_for(request)
        answer = self._app if name in self._names or _is_address(name) else await self._refuse(request)
        await answer(scope, receive, send)


def _is_address(name: str) -> bool:
    try:
        ip_address(name)
    except ValueError:
        return False
    return True
