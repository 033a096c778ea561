"""The web server: uvicorn on a thread of its own, started and stopped with the floor.

Never touches signals, and never keeps the floor from closing: connections that stay open are cut.
"""

import os
import socket
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from threading import Event, Thread

import uvicorn
from starlette.types import ASGIApp

from floor.doors.address import NotOpened, address
from floor.service.service import Service
from floor.web.app import Settings, build_app
from floor.web.gate.access import is_loopback
from floor.web.patience import PatientProtocol

START_WITHIN_S = 10.0
GRACE_S = 1
"""How long a request that is under way may go on when the floor closes."""
STOP_WITHIN_S = 2.5
CONNECTIONS_MAX = 200
"""Beyond this a request is told to come back later."""


class WebServer:
    """Serves an application at an address, for as long as it is started."""

    def __init__(self, app: ASGIApp, host: str, port: int, proxies: Sequence[str] = ()) -> None:
        """Take the address; port 0 takes a free one. `proxies` may speak for others. Raises NotOpened."""
        self._socket = _bound(host, port)
        self.host, self.port = self._socket.getsockname()[:2]
        config = uvicorn.Config(
            app,
            lifespan="off",
            http=PatientProtocol,
            ws="none",
            loop="asyncio",
            log_config=None,
            access_log=False,
            server_header=False,
            proxy_headers=bool(proxies),
            forwarded_allow_ips=list(proxies),
            limit_concurrency=CONNECTIONS_MAX,
            timeout_graceful_shutdown=GRACE_S,
        )
        self._server = _Server(config)
        self._thread = Thread(target=self._run, name="web server", daemon=True)

    @property
    def url(self) -> str:
        """Where it is."""
        return f"http://{f'[{self.host}]' if ':' in self.host else self.host}:{self.port}"

    def start(self) -> None:
        """Serve; requests are answered when this returns."""
        self._thread.start()
        if not self._server.up.wait(START_WITHIN_S) or not self._server.started:
            raise NotOpened(f"The pages at {self.host}:{self.port} could not be started: see the log.")

    def stop(self) -> bool:
        """Stop serving; says whether the thread ended in time. May be called twice, or unstarted."""
        self._server.should_exit = True
        if self._thread.ident is not None:
            self._thread.join(STOP_WITHIN_S)
        self._socket.close()
        return not self._thread.is_alive()

    def _run(self) -> None:
        try:
            self._server.run(sockets=[self._socket])
        finally:
            self._server.up.set()


class _Server(uvicorn.Server):
    """Says when it is up. On a thread that is not the main one, uvicorn leaves the signals alone by itself."""

    def __init__(self, config: uvicorn.Config) -> None:
        super().__init__(config)
        self.up = Event()

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self.up.set()


@contextmanager
def serving(service: Service, settings: Settings, say: Callable[[str], None]) -> Iterator[None]:
    """The floor's pages at the shop file's address, until the block ends.

    Where that is not possible the floor goes on without them: `say` is told why.
    """
    with ExitStack() as stack:
        try:
            server = _server(service, settings)
            stack.callback(server.stop)
            stack.callback(settings.live.close)  # first: an open stream would hold the server up
            server.start()
            say(f"The pages, and the address for benches: {server.url}")
        except ValueError as error:
            say(f"The pages cannot be opened, and no bench can reach the floor: {error}")
        yield


def _server(service: Service, settings: Settings) -> WebServer:
    """At the shop's address; beyond this machine only with a password or a bench's token.

    Raises NotOpened, PrivateFileError.
    """
    host, port = address(service.shop.file.pages.listen)
    if not is_loopback(host) and not settings.benches.all() and not settings.access.roles():
        raise NotOpened(
            f"Others can reach {host}, and there is neither a password nor a bench's token. "
            "Set one with: piecewalk access set office. Or listen on 127.0.0.1."
        )
    settings.access.keep()
    return WebServer(build_app(service, settings), host, port, service.shop.file.pages.proxies)


def _bound(host: str, port: int) -> socket.socket:
    try:
        wish = {"type": socket.SOCK_STREAM, "proto": socket.IPPROTO_TCP, "flags": socket.AI_PASSIVE}
        family, kind, protocol, _, place = socket.getaddrinfo(host, port, **wish)[0]
        # With the protocol named, asyncio knows that it is TCP, and sends small answers without delay.
        bound = socket.socket(family, kind, protocol)
        try:
            if os.name == "posix":  # else the address stays taken for a minute after a restart
                bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            bound.bind(place)
        except OSError:
            bound.close()
            raise
    except OSError as error:
        raise NotOpened(f"The pages cannot listen on {host}:{port}: {error.strerror}. Change pages.listen.") from None
    return bound
