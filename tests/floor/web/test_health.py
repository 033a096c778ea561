"""Whether the floor is alive and ready, for whoever looks after it."""

import threading
from datetime import timedelta
from pathlib import Path

import pytest
import urllib3

from floor.ledger import MemoryLedger
from floor.web import health
from tests.floor.web import rig
from tests.floor.web.rig import House, read
from tests.measured import WAIT_S


def test_a_running_floor_is_alive(house: House) -> None:
    reply = house.get("/healthz")
    assert (reply.status, reply.json) == (200, {"alive": True})


def test_a_floor_with_an_empty_ledger_is_ready(house: House) -> None:
    reply = house.get("/readyz")
    assert (reply.status, reply.json) == (200, {"ready": True, "writer": "writing", "last_append_age_s": None})


def test_it_says_how_long_ago_the_ledger_grew(house: House) -> None:
    house.post(read())
    house.clock.advance(timedelta(seconds=75))
    assert house.get("/readyz").json["last_append_age_s"] == 75


def test_after_a_restart_it_still_knows(tmp_path: Path) -> None:
    ledger = MemoryLedger()
    with rig.house(tmp_path / "a", ledger) as first:
        first.post(read())
    with rig.house(tmp_path / "b", ledger) as second:
        second.clock.advance(timedelta(seconds=10))
        assert second.get("/readyz").json["last_append_age_s"] == 10


def test_to_be_asked_leaves_no_trace_in_the_ledger(house: House) -> None:
    for _ in range(3):
        house.get("/readyz")
    assert house.rows() == []


def test_a_closing_floor_is_alive_but_not_ready(house: House) -> None:
    house.service.__exit__()
    assert house.get("/healthz").status == 200
    reply = house.get("/readyz")
    assert (reply.status, reply.json["writer"]) == (503, "stopped")


@pytest.mark.fault
def test_a_ledger_that_hangs_makes_the_floor_not_ready_and_is_asked_once(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    go = threading.Event()
    asked: list[object] = []

    def hang(work: object) -> None:
        asked.append(work)
        go.wait(WAIT_S)

    monkeypatch.setattr(health, "READY_WITHIN_S", 0.05)
    monkeypatch.setattr(house.service, "record", hang)
    with house.listening() as server:
        replies = [urllib3.request("GET", f"{server.url}/readyz") for _ in range(3)]
        go.set()
    assert [reply.status for reply in replies] == [503] * 3
    assert replies[0].json()["writer"] == "busy"
    assert len(asked) == 1
