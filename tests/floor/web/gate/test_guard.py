"""Who may open which page, and from where."""

from collections.abc import Iterator

import anyio
import pytest
from starlette.routing import Mount, Route
from starlette.types import Message, Receive, Scope, Send

from floor.doors import access
from floor.doors.access import LASTS, ROLES, Role
from floor.web.gate.guard import COOKIE, SAFE_HEADERS, TOKEN_FIELD, SafeHeaders
from shared.codes import CodeType, make
from tests.floor.web import rig
from tests.floor.web.rig import House, Reply, read
from tests.floor.web.visitor import Visitor, locked

PIECE = make(CodeType.PIECE, 1)
PAGES: dict[str, Role] = {
    "/": "view",
    "/wall": "view",
    "/wall.css": "view",
    "/live/wall": "view",
    "/api/board": "view",
    "/station/press%201": "station",
    "/live/station/press%201": "station",
    "/jobs": "office",
    "/jobs/J0001": "office",
    "/jobs/J0001/travellers.pdf": "office",
    f"/pieces/{PIECE}": "office",
    f"/pieces/{PIECE}/ticket.pdf": "office",
    "/presses": "office",
    "/live/presses": "office",
    "/care": "office",
    "/week": "office",
    "/week/2026-W48": "office",
    "/week/2026-W48/report.pdf": "office",
    "/week/2026-W48/report.xlsx": "office",
}
FORMS: dict[str, Role] = {
    "/station/press%201/scan": "station",
    "/jobs": "office",
    "/jobs/J0001/hold": "office",
    "/logout": "view",
}
OPEN = {"/login", "/api/scans", "/healthz", "/readyz", "/metrics", "/api/openapi.json", "/static", "/fonts"}
"""What needs no password, or has rules of its own."""


@pytest.fixture(scope="module")
def unlocked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A floor on which nobody has set a password."""
    with rig.house(tmp_path_factory.mktemp("shop")) as house:
        house.job()
        yield house


# Roles


@pytest.mark.parametrize("page", PAGES)
def test_a_page_opens_for_its_role_and_those_above(shut: House, page: str) -> None:
    opened = [role for role in ROLES if Visitor(shut, role).get(page, "HEAD").status == 200]
    assert opened == list(ROLES[ROLES.index(PAGES[page]) :])


@pytest.mark.parametrize("form", FORMS)
def test_a_form_is_taken_from_its_role_and_those_above(shut: House, form: str) -> None:
    refused = [role for role in ROLES if posted(shut, role, form).status == 403]
    assert refused == list(ROLES[: ROLES.index(FORMS[form])])


def posted(house: House, role: Role, form: str) -> Reply:
    """A form with a good token, that asks for nothing."""
    visitor = Visitor(house, role)
    cookie = visitor.headers["Cookie"].removeprefix(f"{COOKIE}=")
    return visitor.post(form, {TOKEN_FIELD: house.access.form_token(cookie)})


def test_every_page_there_is_is_among_these(shut: House) -> None:
    paths = {route.path for route in shut.app.routes if isinstance(route, Route | Mount)}
    known = {_pattern(path) for path in (*PAGES, *FORMS)} | OPEN
    assert {_pattern(path) for path in paths} == known


def _pattern(path: str) -> str:
    parts = {"J0001": "{job}", "hold": "{change}", PIECE: "{piece}", "2026-W48": "{week}"}
    path = path.replace("press%201", "{name:path}")
    return "/".join(parts.get(part, part) for part in path.split("/"))


def test_who_has_no_session_is_asked_for_a_password_and_comes_back(shut: House) -> None:
    reply = Visitor(shut).get("/station/press%201?a=b%20c")
    assert reply.status == 303
    login = reply.headers["location"]
    assert login.startswith("/login?to=")
    visitor = Visitor(shut)
    page = visitor.get(login).body.decode()
    assert 'value="/station/press%201?a=b%20c"' in page
    back = visitor.sign_in("the password of station", "/station/press%201?a=b%20c")
    assert back.headers["location"] == "/station/press%201?a=b%20c"
    assert visitor.get(back.headers["location"]).status == 200


@pytest.mark.parametrize("page", ["/live/wall", "/api/board", "/wall.css"])
def test_a_program_without_a_session_is_refused_and_not_led_to_a_form(shut: House, page: str) -> None:
    reply = Visitor(shut, headers={"Accept": "text/event-stream"}).get(page)
    assert reply.status == 403
    assert reply.error["what"] == "Forbidden"


@pytest.mark.parametrize("cookie", ["", "x", "x.y", ".", "näht", "eyJyb2xlIjoib2ZmaWNlIn0=.x"])
def test_a_cookie_that_is_none_of_ours_opens_nothing(shut: House, cookie: str) -> None:
    visitor = Visitor(shut)
    visitor.headers["Cookie"] = f"{COOKIE}={cookie}"
    assert visitor.get("/wall").status == 303


def test_a_session_is_over_after_its_time(tmp_path_factory: pytest.TempPathFactory) -> None:
    with locked(tmp_path_factory.mktemp("shop")) as house:
        visitor = Visitor(house, "office")
        assert visitor.get("/jobs").status == 200
        house.clock.set(house.clock.now() + LASTS["office"])
        assert visitor.get("/jobs").status == 303


def test_a_changed_password_shuts_the_pages_at_once(tmp_path_factory: pytest.TempPathFactory) -> None:
    with locked(tmp_path_factory.mktemp("shop")) as house:
        visitor = Visitor(house, "office")
        house.access.set("office", "another password")
        assert visitor.get("/jobs").status == 303
        assert visitor.post("/jobs/J0001/hold", {}).status == 403


def test_a_benchs_token_opens_no_page(shut: House) -> None:
    for page in PAGES:
        assert Visitor(shut, headers=shut.auth).get(page).status == 303
    assert Visitor(shut, headers=shut.auth).post("/station/press%201/scan", {"code": "12"}).status == 403


def test_a_pages_session_delivers_no_benchs_reads(shut: House) -> None:
    cookie = Visitor(shut, "office").headers["Cookie"]
    for headers in ({"Cookie": cookie}, {"Authorization": f"Bearer {cookie.removeprefix(f'{COOKIE}=')}"}):
        assert shut.post(read(), headers=headers).status == 401


def test_passwords_that_cannot_be_read_let_nobody_in(tmp_path_factory: pytest.TempPathFactory) -> None:
    with locked(tmp_path_factory.mktemp("shop")) as house:
        visitor = Visitor(house, "office")
        (house.folder / access.FILE_NAME).write_text("{")
        for page in (*PAGES, "/login"):
            reply = visitor.get(page)
            assert reply.status == 503
            assert b"who may come in" in reply.body


# Without a password


@pytest.mark.parametrize("page", PAGES)
def test_without_a_password_everything_opens_at_this_machine(unlocked: House, page: str) -> None:
    assert Visitor(unlocked).get(page, "HEAD").status == 200


@pytest.mark.parametrize(
    "host", ["localhost", "localhost:8765", "127.0.0.1", "127.0.0.1:80", "[::1]:8765", "127.1.2.3"]
)
def test_this_machine_has_several_names(unlocked: House, host: str) -> None:
    assert Visitor(unlocked, host=host).get("/jobs").status == 200
    assert Visitor(unlocked, host=host, client="::1").get("/jobs").status == 200


@pytest.mark.parametrize("client", ["192.168.0.9", "10.0.0.1", "2001:db8::1", "::ffff:192.168.0.9", "0.0.0.0", ""])
def test_from_elsewhere_nothing_opens(unlocked: House, client: str) -> None:
    for page in PAGES:
        assert Visitor(unlocked, client=client).get(page).status == 403


@pytest.mark.parametrize("host", ["192.168.0.9:8765", "0.0.0.0", "[::]", "10.0.0.1"])
def test_without_a_password_an_address_that_others_can_use_too_opens_nothing(unlocked: House, host: str) -> None:
    assert Visitor(unlocked, host=host).get("/jobs").status == 403


@pytest.mark.parametrize("header", ["Forwarded", "X-Forwarded-For", "X-Forwarded-Host", "X-Forwarded-Proto", "Via"])
def test_a_proxy_that_says_so_is_let_in_for_nobody(unlocked: House, header: str) -> None:
    assert Visitor(unlocked, headers={header: "127.0.0.1"}).get("/jobs").status == 403


# Headers


@pytest.mark.parametrize("address", [*PAGES, "/login", "/nothing", "/static/live.js", "/healthz", "/jobs/J9999"])
def test_every_answer_keeps_a_browser_from_what_no_page_of_ours_asks_for(shut: House, address: str) -> None:
    reply = Visitor(shut, "office").get(address, "HEAD")
    assert {name: reply.headers.get(name.lower()) for name in SAFE_HEADERS} == SAFE_HEADERS


def test_no_script_and_no_style_but_our_own_files_is_run_and_nobody_frames_a_page() -> None:
    policy = dict(part.strip().split(" ", 1) for part in SAFE_HEADERS["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == policy["base-uri"] == policy["frame-ancestors"] == "'none'"
    sources = {value for name, value in policy.items() if name not in {"default-src", "base-uri", "frame-ancestors"}}
    assert sources == {"'self'"}


def test_no_page_is_kept_by_a_browser_or_a_proxy(shut: House) -> None:
    for page in PAGES:
        assert Visitor(shut, "office").get(page, "HEAD").headers["cache-control"] == "no-store"


def test_a_header_that_an_answer_has_already_is_not_doubled() -> None:
    sent: list[Message] = []

    async def app(_scope: Scope, _receive: Receive, send: Send) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": [(b"referrer-policy", b"origin")]})

    async def receive() -> Message:
        raise AssertionError("nobody asks")

    async def send(message: Message) -> None:
        sent.append(message)

    anyio.run(SafeHeaders(app), {"type": "http"}, receive, send)
    [start] = sent
    names = [name for name, _ in start["headers"]]
    assert (b"referrer-policy", b"origin") in start["headers"]
    assert sorted(names) == sorted(name.lower().encode() for name in SAFE_HEADERS)
