"""The web server: up when it says so, gone when it is told to go, and open to no one by accident."""

import signal
import socket
from pathlib import Path
from typing import Any

import pytest
import urllib3

from floor.doors.address import NotOpened, address
from floor.service.service import Service
from floor.web.gate.access import is_loopback
from floor.web.server import WebServer, serving
from shared.files.shop import parse_shop
from tests.floor.web.rig import House, stop
from tests.making import shop_data
from tests.measured import WAIT_S, assert_within, seconds

HALF_A_REQUEST = "POST /api/scans HTTP/1.1\r\nHost: localhost\r\nContent-Length: 9\r\n{auth}\r\n"


def listening_at(house: House, listen: str) -> Service:
    """The same floor, by a shop file that listens somewhere else."""
    return Service(parse_shop(shop_data(pages={"listen": listen})), house.ledger, house.clock)


def said_by(house: House, listen: str) -> tuple[list[str], int | None]:
    """What `serving` says, and the status of its /healthz."""
    said: list[str] = []
    with serving(listening_at(house, listen), house.settings, said.append):
        url = said[0].rpartition(" ")[2]
        status = urllib3.request("GET", f"{url}/healthz").status if url.startswith("http") else None
    return said, status


def test_requests_are_answered_as_soon_as_it_has_started(house: House) -> None:
    with house.listening() as server:
        assert urllib3.request("GET", f"{server.url}/healthz").status == 200


def test_it_leaves_the_signals_to_the_program(house: House) -> None:
    before = [signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM)]
    with house.listening():
        assert [signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM)] == before


def test_after_it_stopped_the_address_is_free_at_once(house: House) -> None:
    with house.listening() as first:
        port = first.port
        urllib3.request("GET", f"{first.url}/healthz")
    with house.listening(port) as second:
        assert second.port == port


def test_it_may_be_stopped_without_having_been_started(house: House) -> None:
    server = WebServer(house.app, "127.0.0.1", 0)
    assert server.stop()
    assert server.stop()


@pytest.mark.alone
@pytest.mark.fault
@pytest.mark.parametrize("sent", ["", "GET / HT", HALF_A_REQUEST])
def test_a_client_that_stays_keeps_it_open_for_less_than_three_seconds(house: House, sent: str) -> None:
    def stopping_s() -> float:
        server = WebServer(house.app, "127.0.0.1", 0)
        server.start()
        with socket.create_connection(("127.0.0.1", server.port), WAIT_S) as client:
            client.sendall(sent.format(auth=f"Authorization: Bearer {house.token}\r\n").encode())
            urllib3.request("GET", f"{server.url}/healthz")  # so that it has seen the other one
            return seconds(lambda: stop(server))

    assert_within(3, stopping_s)


@pytest.mark.fault
def test_an_address_that_is_taken_is_said_and_the_floor_goes_on(house: House) -> None:
    with house.listening() as server:
        said, _ = said_by(house, f"127.0.0.1:{server.port}")
    assert len(said) == 1
    assert "Address already in use" in said[0]


def test_the_pages_are_opened_on_this_machine(house: House) -> None:
    said, status = said_by(house, "127.0.0.1:0")
    assert "http://127.0.0.1:" in said[0]
    assert status == 200


def test_they_are_not_opened_to_others_before_there_is_a_password_or_a_bench_s_token(house: House) -> None:
    house.benches.revoke("north")
    said, _ = said_by(house, "0.0.0.0:0")
    assert "piecewalk access set office" in said[0]
    house.benches.add("north", house.clock.now())
    assert said_by(house, "0.0.0.0:0")[1] == 200
    house.benches.revoke("north")
    house.access.set("view", "behind the wall")
    assert said_by(house, "0.0.0.0:0")[1] == 200


@pytest.mark.parametrize(
    ("listen", "place"),
    [
        ("127.0.0.1:8765", ("127.0.0.1", 8765)),
        ("[::1]:80", ("::1", 80)),
        (":8765", ("0.0.0.0", 8765)),
        ("floor.local:1", ("floor.local", 1)),
    ],
)
def test_an_address_is_a_host_and_a_port(listen: str, place: tuple[str, int]) -> None:
    assert address(listen) == place


@pytest.mark.parametrize("listen", ["", "8765", "127.0.0.1", "127.0.0.1:http", "127.0.0.1:99999", "127.0.0.1:-1"])
def test_what_is_no_address_is_said_with_an_example(listen: str) -> None:
    with pytest.raises(NotOpened, match=r"127\.0\.0\.1:8765"):
        address(listen)


@pytest.mark.parametrize(
    ("host", "loopback"),
    [
        ("127.0.0.1", True),
        ("127.8.8.8", True),
        ("::1", True),
        ("localhost", True),
        ("0.0.0.0", False),
        ("::", False),
        ("192.168.0.9", False),
        ("floor.local", False),
        ("", False),
    ],
)
def test_only_loopback_is_this_machine_alone(host: str, loopback: bool) -> None:
    assert is_loopback(host) is loopback


def test_a_small_answer_is_not_held_back_to_be_sent_with_the_next(house: House) -> None:
    with house.listening() as server:
        pool = urllib3.PoolManager()
        pool.request("GET", f"{server.url}/healthz")
        (connection,) = server._server.server_state.connections
        ours = connection.transport.get_extra_info("socket")
        assert ours.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)
        pool.clear()


def test_an_application_that_cannot_start_is_an_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def app(_scope: Any, _receive: Any, _send: Any) -> None:
        raise AssertionError("never called")

    server = WebServer(app, "127.0.0.1", 0)
    monkeypatch.setattr(server._server, "run", lambda sockets: None)
    with pytest.raises(NotOpened, match="could not be started"):
        server.start()
    server.stop()
