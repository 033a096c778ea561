"""The way in: a password for a session, and no guessing."""

import asyncio
import json
import threading
from datetime import timedelta
from http.cookies import SimpleCookie

import pytest
import urllib3

from floor.doors.access import FILE_NAME, LASTS, Access, Role
from floor.web.gate.guard import COOKIE, LOGINS_WAITING_MAX, NOBODY, TOKEN_FIELD
from floor.web.pages.entry import KNOWN_MAX, LONGEST_WAIT, TRIES, Tries
from shared.clock import SetClock
from tests.floor.web.rig import House, Reply, call, read
from tests.floor.web.visitor import FORM, HERE, Visitor
from tests.making import MONDAY
from tests.measured import WAIT_S

PASSWORDS: dict[Role, str] = {"view": "behind the wall", "station": "at the press", "office": "with the books"}


@pytest.fixture(autouse=True)
def _locked(house: House) -> None:
    for role, password in PASSWORDS.items():
        house.access.set(role, password)


def cookie_of(reply: Reply) -> SimpleCookie:
    return SimpleCookie(reply.headers["set-cookie"])


@pytest.mark.parametrize(("role", "opens"), [("view", "/wall"), ("station", "/station/press%201"), ("office", "/jobs")])
def test_a_password_opens_the_pages_of_its_role(house: House, role: Role, opens: str) -> None:
    visitor = Visitor(house)
    assert visitor.get(opens).status == 303
    assert visitor.sign_in(PASSWORDS[role], opens).headers["location"] == opens
    assert visitor.get(opens).status == 200


def test_a_wrong_password_opens_nothing_and_says_no_more_than_that(house: House) -> None:
    visitor = Visitor(house)
    reply = visitor.sign_in("behind the wal")
    assert reply.status == 403
    assert "set-cookie" not in reply.headers
    assert b"That is not a password of this shop." in reply.body
    assert b"behind the wal<" not in reply.body
    assert visitor.get("/wall").status == 303


def test_the_cookie_is_kept_from_scripts_and_from_other_sites(house: House) -> None:
    morsel = cookie_of(Visitor(house).sign_in(PASSWORDS["office"]))[COOKIE]
    assert morsel["httponly"]
    assert morsel["samesite"] == "strict"
    assert morsel["path"] == "/"
    assert morsel["domain"] == ""
    assert int(morsel["max-age"]) == LASTS["office"].total_seconds()


def test_over_tls_it_is_never_sent_without(house: House) -> None:
    token = house.access.form_token(NOBODY.session)
    body = f"{TOKEN_FIELD}={token}&password={PASSWORDS['view']}".replace(" ", "+").encode()
    headers = {"Host": HERE, "Content-Type": FORM, "Content-Length": str(len(body))}
    for scheme in ("http", "https"):
        reply = asyncio.run(call(house.app, "POST", "/login", body, headers, scheme=scheme))
        assert bool(cookie_of(reply)[COOKIE]["secure"]) is (scheme == "https")


@pytest.mark.parametrize(("proxies", "believed"), [(["127.0.0.1"], True), (["127.0.0.0/8"], True), ([], False)])
def test_only_a_proxy_that_the_shop_file_names_says_that_it_speaks_tls(
    house: House, proxies: list[str], believed: bool
) -> None:
    token = house.access.form_token(NOBODY.session)
    headers = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "10.0.0.9"}
    with house.listening(proxies=proxies) as server:
        fields = {TOKEN_FIELD: token, "password": PASSWORDS["view"]}
        reply = urllib3.request("POST", f"{server.url}/login", headers=headers, fields=fields, redirect=False)
    assert reply.status == 303
    assert ("Secure" in reply.headers["set-cookie"]) is believed


def test_whoever_guesses_has_to_wait_whatever_address_they_claim(house: House) -> None:
    fields = {TOKEN_FIELD: house.access.form_token(NOBODY.session), "password": "behind the wal"}
    with house.listening() as server:
        tries = [
            urllib3.request(
                "POST", f"{server.url}/login", headers={"X-Forwarded-For": f"10.0.0.{n}"}, fields=fields, redirect=False
            ).status
            for n in range(TRIES + 1)
        ]
    assert tries == [*[403] * TRIES, 429]


def test_who_signs_out_is_asked_for_the_password_again(house: House) -> None:
    visitor = Visitor(house)
    visitor.sign_in(PASSWORDS["office"])
    reply = visitor.post("/logout", {}, page="/jobs")
    assert reply.headers["location"] == "/login"
    assert cookie_of(reply)[COOKIE]["max-age"] == "0"
    assert visitor.get("/jobs").status == 303


def test_a_cookie_that_was_copied_opens_nothing_once_its_owner_signed_out(house: House) -> None:
    owner, other = Visitor(house), Visitor(house)
    for visitor in (owner, other):
        visitor.sign_in(PASSWORDS["office"])
    thief = Visitor(house, headers={"Cookie": owner.headers["Cookie"]})
    assert thief.get("/jobs").status == 200
    owner.post("/logout", {}, page="/jobs")
    assert thief.get("/jobs").status == 303
    assert other.get("/jobs").status == 200, "a session of its own"
    again = Access(house.folder)
    assert again.session(thief.headers["Cookie"].partition("=")[2], house.clock.now()) is None, "after a restart too"


def test_a_session_that_would_be_over_anyway_is_no_longer_remembered(house: House) -> None:
    now = house.clock.now()
    for hours in (0, 13):
        house.access.end(house.access.begin("office", now + timedelta(hours=hours)), now + timedelta(hours=hours))
    kept = json.loads((house.folder / FILE_NAME).read_text(encoding="utf-8"))
    assert len(kept["ended"]) == 1


def test_nobody_is_signed_out_by_a_page_from_elsewhere(house: House) -> None:
    visitor = Visitor(house, "office")
    assert visitor.post("/logout", {}).status == 403
    assert visitor.get("/logout").status == 405


def test_without_a_password_there_is_nothing_to_sign_out_of(house: House) -> None:
    for role in PASSWORDS:
        house.access.remove(role)
    visitor = Visitor(house)
    assert b"/logout" not in visitor.get("/jobs").body
    assert visitor.post("/logout", {}).status == 404


@pytest.mark.parametrize(
    "to",
    [
        *("http://evil.invalid/", "//evil.invalid/", "/\\evil.invalid/", "\\\\evil.invalid/", "evil.invalid", ""),
        *("javascript:alert(1)", "/\t/evil.invalid", "/\r\nSet-Cookie: a=b", "\n//evil.invalid", "/\x00"),
    ],
)
def test_after_the_password_nobody_is_led_elsewhere(house: House, to: str) -> None:
    reply = Visitor(house).sign_in(PASSWORDS["office"], to)
    assert (reply.status, reply.headers["location"]) == (303, "/")


@pytest.mark.parametrize("to", ["/", "/jobs", "/wall?distance_m=5", "/station/press%201"])
def test_after_the_password_a_page_of_ours_opens(house: House, to: str) -> None:
    assert Visitor(house).sign_in(PASSWORDS["office"], to).headers["location"] == to


def test_the_page_to_go_to_is_no_html(house: House) -> None:
    page = Visitor(house).get("/login?to=%22%3E%3Cscript%3E").body
    assert b"<script>" not in page
    assert b"&lt;script&gt;" in page


# Guessing


def guessed(visitor: Visitor, times: int) -> list[int]:
    token = visitor.token_on("/login")
    return [visitor.post("/login", {TOKEN_FIELD: token, "password": "a guess"}).status for _ in range(times)]


def test_after_some_wrong_passwords_one_has_to_wait(house: House) -> None:
    visitor = Visitor(house)
    assert guessed(visitor, TRIES + 1) == [403] * TRIES + [429]
    reply = visitor.sign_in(PASSWORDS["office"])
    assert reply.status == 429, "even the right one is not tried"
    assert int(reply.headers["retry-after"]) >= 1
    assert b"Wait a little" in reply.body
    house.clock.set(house.clock.now() + timedelta(seconds=int(reply.headers["retry-after"])))
    assert visitor.sign_in(PASSWORDS["office"]).status == 303


def test_each_wrong_password_after_that_doubles_the_wait(house: House) -> None:
    tries = Tries(house.clock)
    waits = []
    for _ in range(TRIES + 30):
        tries.failed("10.0.0.9")
        waits.append(tries.wait("10.0.0.9").total_seconds())
    assert waits[: TRIES + 3] == [0] * (TRIES - 1) + [2, 4, 8, 16]
    assert waits[-1] == LONGEST_WAIT.total_seconds()


def test_others_need_not_wait(house: House) -> None:
    guessed(Visitor(house, client="10.0.0.9"), TRIES + 1)
    assert Visitor(house, client="10.0.0.8").sign_in(PASSWORDS["view"]).status == 303


def test_a_right_password_forgives_the_wrong_ones_before_it(house: House) -> None:
    visitor = Visitor(house)
    guessed(visitor, TRIES - 1)
    assert visitor.sign_in(PASSWORDS["view"]).status == 303
    visitor = Visitor(house)
    assert guessed(visitor, TRIES) == [403] * TRIES


def test_a_network_of_guessers_does_not_fill_the_memory() -> None:
    tries = Tries(SetClock(MONDAY))
    for number in range(3 * KNOWN_MAX):
        tries.failed(f"2001:db8::{number:x}")
    assert len(tries._wrong) == KNOWN_MAX


def guesses(house: House, clients: list[str]) -> list[int]:
    """A guess of each client, all at the same time; their statuses."""
    token = house.access.form_token(NOBODY.session)
    body = f"{TOKEN_FIELD}={token}&password=a+guess".encode()
    headers = {"Content-Type": FORM, "Content-Length": str(len(body))}

    async def all_at_once() -> list[Reply]:
        return await asyncio.gather(*(call(house.app, "POST", "/login", body, headers, client) for client in clients))

    return [reply.status for reply in asyncio.run(all_at_once())]


def test_guesses_that_come_at_the_same_time_count_each(house: House) -> None:
    statuses = guesses(house, ["10.0.0.9"] * 3 * TRIES)
    assert sorted(statuses) == [403] * TRIES + [429] * 2 * TRIES


def test_guesses_from_everywhere_are_tried_one_by_one_and_the_rest_is_sent_away(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_once, most = [0], [0]
    lock = threading.Lock()
    role_of = house.access.role_of

    def watched(password: str) -> Role | None:
        with lock:
            at_once[0] += 1
            most[0] = max(most[0], at_once[0])
        try:
            return role_of(password)
        finally:
            with lock:
                at_once[0] -= 1

    monkeypatch.setattr(house.access, "role_of", watched)
    statuses = guesses(house, [f"10.0.0.{n}" for n in range(100)])
    assert most == [1]
    assert set(statuses) == {403, 429}
    assert statuses.count(403) <= LOGINS_WAITING_MAX + 1


def test_a_scan_is_answered_while_passwords_are_tried(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    trying, answered = threading.Event(), threading.Event()

    def slow(_password: str) -> None:
        trying.set()
        assert answered.wait(WAIT_S), "the scan was not answered while a password was being tried"

    monkeypatch.setattr(house.access, "role_of", slow)
    guess = threading.Thread(target=guesses, args=(house, ["10.0.0.9"]))
    guess.start()
    assert trying.wait(WAIT_S)
    assert house.post(read()).status == 200
    answered.set()
    guess.join(WAIT_S)


# The list of screens


def test_each_role_is_shown_the_screens_that_it_may_open(house: House) -> None:
    shown = {role: Visitor(house, role).get("/").body.decode() for role in PASSWORDS}
    assert [role for role, page in shown.items() if 'href="/wall"' in page] == ["view", "station", "office"]
    assert [role for role, page in shown.items() if 'href="/station/press%201"' in page] == ["station", "office"]
    assert [role for role, page in shown.items() if 'href="/jobs"' in page] == ["office"]
