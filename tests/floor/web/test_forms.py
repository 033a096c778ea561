"""A form is taken from our own pages, whole and in time, and from nobody else."""

import asyncio
from collections.abc import Awaitable, Callable
from typing import Any

import pytest

from floor.web.gate.guard import TOKEN_FIELD
from tests.floor.web.rig import House
from tests.floor.web.visitor import FORM, HERE, Visitor
from tests.measured import WAIT_S


def held(visitor: Visitor, token: str, **headers: str) -> int:
    """The status of a form that holds the job, or lets it go on."""
    [job] = visitor.house.service.board().jobs
    change = "release" if job.held else "hold"
    return visitor.post(f"/jobs/J0001/{change}", {TOKEN_FIELD: token}, headers=headers).status


def test_a_form_of_our_own_page_is_taken(shut: House) -> None:
    visitor = Visitor(shut, "office")
    token = visitor.token_on("/jobs")
    assert held(visitor, token) == 303
    assert held(visitor, token, Origin=f"http://{HERE}", **{"Sec-Fetch-Site": "same-origin"}) == 303
    assert held(visitor, token, Origin=f"https://{HERE}") == 303, "a proxy may speak TLS for the floor"


@pytest.mark.parametrize("token", ["", "x", "näht"])
def test_without_its_token_it_is_refused(shut: House, token: str) -> None:
    rows = len(shut.rows())
    assert held(Visitor(shut, "office"), token) == 403
    assert len(shut.rows()) == rows


def test_with_another_sessions_token_it_is_refused(shut: House) -> None:
    theirs = Visitor(shut, "office").token_on("/jobs")
    nobodys = Visitor(shut).token_on("/login")
    for token in (theirs, nobodys):
        assert held(Visitor(shut, "office"), token) == 403


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.invalid"},
        {"Origin": "http://127.0.0.1:9999"},
        {"Origin": "null"},
        {"Origin": ""},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Sec-Fetch-Site": "none"},
    ],
)
def test_from_another_site_it_is_refused_even_with_its_token(shut: House, headers: dict[str, str]) -> None:
    visitor = Visitor(shut, "office")
    assert held(visitor, visitor.token_on("/jobs"), **headers) == 403


def test_a_form_of_another_kind_has_no_token(shut: House) -> None:
    visitor = Visitor(shut, "office")
    token = visitor.token_on("/jobs")
    for kind in ("application/json", "text/plain", ""):
        assert held(visitor, token, **{"Content-Type": kind}) == 403


def test_a_token_that_is_a_file_is_none(shut: House) -> None:
    visitor = Visitor(shut, "office")
    token = visitor.token_on("/jobs").encode()
    assert visitor.post("/jobs/J0001/hold", {}, files=[(TOKEN_FIELD, ("token", token))]).status == 403


@pytest.mark.parametrize("length", ["10001", "1" + "0" * 30, "", "-1", "x", "٣"])
def test_a_form_that_is_too_long_or_does_not_say_how_long_is_refused_unread(shut: House, length: str) -> None:
    visitor = Visitor(shut, "office")
    never_read = [b"", b""]
    reply = shut.call(
        "POST",
        "/jobs/J0001/hold",
        never_read,
        headers={**visitor.headers, "Content-Type": FORM} | ({"Content-Length": length} if length.isascii() else {}),
    )
    assert reply.status == 413


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("multipart/form-data", b"x"),
        ("multipart/form-data; boundary=b", b"x"),
        ("multipart/form-data; boundary=b", b"--b\r\nContent-Disposition: form-data; name=a"),
        ("multipart/form-data; boundary=b; charset=utf-7", b'--b\r\nContent-Disposition: form-data; name="form_token"'
         b"\r\n\r\n+2AA-\r\n--b--\r\n"),
        ("multipart/form-data; boundary=b; charset=nonsense", b"--b--\r\n"),
        (FORM, b"%ff=%ff&form_token=%ff%00"),
        (FORM, b"&".join(b"a%d=1" % n for n in range(1_000))),
    ],
)  # fmt: skip
def test_a_broken_form_is_refused_and_breaks_nothing(shut: House, kind: str, body: bytes) -> None:
    headers = {**Visitor(shut, "office").headers, "Content-Type": kind, "Content-Length": str(len(body))}
    assert shut.call("POST", "/jobs/J0001/hold", body, headers=headers).status in {400, 403}


def status_of(house: House, receive: Callable[[], Awaitable[dict[str, str]]]) -> int:
    """The status of a form whose body comes, or does not come, as `receive` has it."""
    headers = {**Visitor(house, "office").headers, "Content-Type": FORM, "Content-Length": "5000"}
    sent: list[Any] = []

    async def send(message: Any) -> None:
        sent.append(message)

    scope = {
        "type": "http",
        "method": "POST",
        "path": "/jobs/J0001/hold",
        "query_string": b"",
        "headers": [(name.lower().encode(), value.encode()) for name, value in headers.items()],
        "client": ("127.0.0.1", 50_000),
    }
    asyncio.run(asyncio.wait_for(house.app(scope, receive, send), WAIT_S))
    return int(sent[0]["status"])


def test_a_form_that_ends_early_is_refused(shut: House) -> None:
    async def leaves() -> dict[str, str]:
        return {"type": "http.disconnect"}

    assert status_of(shut, leaves) == 408


def test_a_form_that_does_not_come_in_time_is_refused(shut: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("floor.web.gate.guard.FORM_WITHIN_S", 0.01)

    async def stays() -> dict[str, str]:
        await asyncio.Event().wait()
        raise AssertionError("never")

    assert status_of(shut, stays) == 408
