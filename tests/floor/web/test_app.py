"""The application as a whole: one shape for all that goes wrong, and no body that shakes it."""

import asyncio
import json
import os
import random
from pathlib import Path
from typing import Any

import pytest

from tests.floor.web import rig
from tests.floor.web.rig import House, call, read


@pytest.mark.parametrize(
    ("method", "path", "status"), [("GET", "/nothing", 404), ("GET", "/api/scans", 405), ("POST", "/healthz", 405)]
)
def test_what_there_is_not_is_told_in_the_one_shape(house: House, method: str, path: str, status: int) -> None:
    reply = house.call(method, path)
    assert reply.status == status
    assert "openapi" in reply.error["do"]


def test_a_path_from_outside_is_shown_harmless(house: House) -> None:
    assert "\x1b" not in house.get("/\x1b[2J").error["where"]


class Bodies:
    """Random bodies, from plain noise to reads that are almost right; one seed gives them all again."""

    def __init__(self, seed: int) -> None:
        self._luck = random.Random(seed)
        self._number = 0

    def __next__(self) -> bytes:
        self._number += 1
        return self._luck.choice([self._noise, self._json, self._good, self._almost, self._broken, self._list])()

    def _noise(self) -> bytes:
        return self._luck.randbytes(self._luck.choice([0, 1, 10, 300, 5_000]))

    def _json(self) -> bytes:
        return json.dumps(self._value(4)).encode()

    def _good(self) -> bytes:
        return json.dumps(self._read()).encode()

    def _almost(self) -> bytes:
        keys = list(self._read())
        return json.dumps({**self._read(), self._luck.choice([*keys, "colour"]): self._value(2)}).encode()

    def _broken(self) -> bytes:
        body = bytearray(json.dumps(self._read()).encode())
        for _ in range(self._luck.randint(1, 3)):
            body[self._luck.randrange(len(body))] = self._luck.randrange(256)
        return bytes(body[: self._luck.randint(1, len(body))]) if self._luck.random() < 0.3 else bytes(body)

    def _list(self) -> bytes:
        good = [self._read() for _ in range(self._luck.choice([0, 1, 3]))]
        return json.dumps(good + [self._value(2)] * self._luck.choice([0, 1, 120])).encode()

    def _read(self) -> dict[str, Any]:
        self._number += 1
        code = self._luck.choice(["1000000137", "12", "\x1b[31m", "=1+1", "<b>", "'; --", "0" * 64])
        return read(self._number, code, after_s=self._luck.uniform(-1e9, 1e9), age_s=self._luck.expovariate(1e-3))

    def _value(self, depth: int) -> Any:
        plain = [
            None,
            True,
            0,
            -1,
            1e308,
            10**30,
            "",
            "x" * 400,
            "\x00",
            "2026-11-27T12:00:00Z",
            "9999-12-31T23:59:59-14:00",
        ]
        if depth == 0 or self._luck.random() < 0.5:
            return self._luck.choice(plain)
        inner = [self._value(depth - 1) for _ in range(self._luck.randint(0, 3))]
        return inner if self._luck.random() < 0.5 else {str(n): value for n, value in enumerate(inner)}


async def shake(house: House, bodies: Bodies, count: int) -> dict[int, int]:
    """Post so many bodies; how often each status came."""
    came: dict[int, int] = {}
    for _ in range(count):
        reply = await call(house.app, "POST", "/api/scans", next(bodies), headers=house.auth)
        came[reply.status] = came.get(reply.status, 0) + 1
        if reply.status == 200:
            assert reply.json
        else:
            assert reply.status in {400, 409, 413, 422}
            assert reply.error["what"]
    return came


def test_two_thousand_random_bodies_are_each_answered_or_refused_with_a_reason(house: House) -> None:
    came = asyncio.run(shake(house, Bodies(seed=1), 2_000))
    assert min(came[status] for status in (200, 400, 422)) > 100, "the bodies are not mixed enough"


@pytest.mark.soak
@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="reads the memory of this process from /proc")
def test_a_hundred_thousand_random_bodies_leave_no_memory_taken() -> None:
    bodies = Bodies(seed=2)
    with rig.sqlite_house() as house:
        asyncio.run(shake(house, bodies, 20_000))
        before = _taken_bytes()
        asyncio.run(shake(house, bodies, 80_000))
        assert _taken_bytes() - before < 4 * 2**20


def _taken_bytes() -> int:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE")
