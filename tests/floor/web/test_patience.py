"""Connections that say nothing shut nobody out."""

import socket
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

import pytest
import urllib3

from floor.web import patience
from floor.web.server import WebServer
from tests.floor.web.rig import House, read

pytestmark = pytest.mark.fault
WAIT_S = 60


@contextmanager
def silent(server: WebServer, how_many: int, say: bytes = b"") -> Iterator[list[socket.socket]]:
    with ExitStack() as stack:
        opened = [
            stack.enter_context(socket.create_connection((server.host, server.port), WAIT_S)) for _ in range(how_many)
        ]
        for each in opened:
            each.sendall(say)
        yield opened


@pytest.mark.parametrize("say", [b"", b"GET /wall HTTP/1.1\r\nHost: x"], ids=["nothing", "half a head"])
def test_benches_and_health_checks_are_answered_beside_many_silent_connections(house: House, say: bytes) -> None:
    with house.listening() as server, silent(server, 150, say), silent(server, 60):
        assert urllib3.request("GET", f"{server.url}/healthz", timeout=WAIT_S, retries=False).status == 200
        posted = urllib3.request(
            "POST", f"{server.url}/api/scans", json=read(), headers=house.auth, timeout=WAIT_S, retries=False
        )
        assert posted.status == 200


@pytest.mark.parametrize("say", [b"", b"GET /wa", b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\nGET /wa"])
def test_who_does_not_ask_in_time_is_hung_up_on(house: House, monkeypatch: pytest.MonkeyPatch, say: bytes) -> None:
    monkeypatch.setattr(patience, "REQUEST_WITHIN_S", 0.05)
    with house.listening() as server, silent(server, 1, say) as [connection]:
        while connection.recv(4096):  # ends when the server hangs up, and fails after WAIT_S when it does not
            pass


def test_a_page_that_is_open_is_not_cut_off_to_make_room(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(patience, "PER_ADDRESS_MAX", 3)
    monkeypatch.setattr(patience, "REQUEST_WITHIN_S", 0.05)
    stream = b"GET /live/wall HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
    with house.listening() as server, silent(server, 1, stream) as [page]:
        assert b"200 OK" in page.recv(4096)
        with silent(server, 10) as others:
            for other in others:
                while other.recv(4096):
                    pass
        house.post(read())
        assert page.recv(4096)
        house.settings.live.close()
