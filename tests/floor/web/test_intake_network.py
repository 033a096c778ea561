"""What a bench sends, over a real connection."""

import json
import socket
import threading

import pytest
import urllib3

from floor.doors import intake
from shared.scan import Answer, Scan
from tests.floor.web.rig import House, read
from tests.measured import WAIT_S


def test_a_mistake_of_the_floor_is_told_in_the_same_shape_and_says_nothing_of_its_inside(
    house: House, caplog: pytest.LogCaptureFixture
) -> None:
    def stumble(_: Scan) -> Answer:
        raise KeyError("secret")

    house.scan = stumble
    with house.listening() as server:
        reply = urllib3.request("POST", f"{server.url}/api/scans", body=json.dumps(read()), headers=house.auth)
    assert reply.status == 500
    assert reply.json()["error"]["what"] == "The floor made a mistake"
    assert b"secret" not in reply.data
    assert "secret" in caplog.text


def test_a_slow_ledger_keeps_no_other_request_waiting(house: House) -> None:
    go, held = threading.Event(), threading.Event()

    def slow(read: Scan) -> Answer:
        held.set()
        assert go.wait(WAIT_S)
        return house.service.scan(read)

    house.scan = slow
    with house.listening() as server:
        poster = threading.Thread(
            target=urllib3.request,
            args=("POST", f"{server.url}/api/scans"),
            kwargs={"body": json.dumps(read()).encode(), "headers": house.auth},
        )
        poster.start()
        assert held.wait(WAIT_S)
        assert urllib3.request("GET", f"{server.url}/healthz").status == 200
        go.set()
        poster.join(WAIT_S)
    assert [row.read_id for row in house.rows()] == ["read-000001"]


def test_a_body_that_never_ends_is_not_waited_for(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(intake, "BODY_WITHIN_S", 0.05)
    with house.listening() as server, socket.create_connection(("127.0.0.1", server.port), WAIT_S) as bench:
        head = f"POST /api/scans HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer {house.token}\r\n"
        head += "Content-Length: 999\r\n\r\n"
        bench.sendall(head.encode() + b"{")
        assert bench.recv(4_096).startswith(b"HTTP/1.1 408")
