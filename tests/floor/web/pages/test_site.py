"""What all pages share: no script inside, no dead link, the language of the shop, and words when something fails."""

import re
from collections.abc import Iterator
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import pytest
import urllib3

from floor.doors.access import ROLES, Role
from floor.doors.shop_change import CHANGED, UNSOUND
from floor.ledger import LedgerError
from floor.web.app import build_app
from floor.web.pages import site
from shared.files.shop import Shop, parse_shop
from shared.words import LANGUAGES
from tests.floor.web import rig
from tests.floor.web.rig import House
from tests.floor.web.visitor import Visitor, shown, walked
from tests.making import shop_data

FOLDER = Path(site.__file__).parent.parent
TEMPLATES = sorted((FOLDER / "templates").glob("*.html"))
STATIC = sorted((FOLDER / "static").iterdir())


class Marks(HTMLParser):
    """The elements of a page with their attributes; and what stands inside of scripts and styles."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.inside: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        if self.found and self.found[-1][0] in {"script", "style"} and data.strip():
            self.inside.append(data)


def assert_has_no_script_or_style_inside(text: str) -> None:
    marks = Marks(text)
    assert marks.inside == []
    for tag, attributes in marks.found:
        assert tag != "style"
        assert tag != "script" or attributes.get("src", "").startswith("/static/"), attributes  # type: ignore[union-attr]
        assert not [name for name in attributes if name.startswith("on") or name == "style"], attributes
        assert not [value for value in attributes.values() if value and "javascript:" in value.lower()]


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda file: file.name)
def test_no_template_has_a_script_or_a_style_inside(template: Path) -> None:
    assert_has_no_script_or_style_inside(template.read_text(encoding="utf-8"))


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda file: file.name)
def test_no_template_switches_escaping_off(template: Path) -> None:
    assert not re.search(r"\|\s*safe|autoescape|Markup", template.read_text(encoding="utf-8"))


@pytest.mark.parametrize("file", STATIC, ids=lambda file: file.name)
def test_nothing_is_fetched_from_elsewhere(file: Path) -> None:
    addresses = re.findall(r"(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}", file.read_text(encoding="utf-8"))
    assert set(addresses) <= {"http://www.w3.org"}


# Links


def links(page: str) -> set[str]:
    """Where the links, pictures, styles and scripts of a page lead; and its stream."""
    marks = Marks(page)
    names = ("href", "src", "data-live")
    found = {attributes[name] for _, attributes in marks.found for name in names if attributes.get(name)}
    return {link for link in found if link and not link.startswith("#")}


def walk_about(visitor: Visitor) -> Iterator[tuple[str, int]]:
    """Every address that can be come upon from the start, with the status of its answer."""
    known, ahead = {"/"}, ["/"]
    while ahead:
        address = ahead.pop()
        reply = visitor.get(address, "HEAD")
        yield address, reply.status
        text = reply.headers.get("content-type", "").startswith("text/html")
        weeks_away = address.startswith("/week/") and address != "/week/2026-W48"
        new = links(visitor.get(address).body.decode()) - known if text and not weeks_away else set()
        known |= new
        ahead += new


@pytest.mark.parametrize("role", ROLES)
def test_every_link_that_a_role_is_shown_opens(house: House, monkeypatch: pytest.MonkeyPatch, role: Role) -> None:
    monkeypatch.setattr("floor.doors.access.SCRYPT_N", 16)
    for each in ROLES:
        house.access.set(each, f"the password of {each}")
    done, pressed = house.job(2)
    walked(house, done, stops=7)
    walked(house, pressed, stops=5)
    found = dict(walk_about(Visitor(house, role)))
    assert {address: status for address, status in found.items() if status != 200} == {}
    assert ("/jobs/J0001" in found) is (role == "office")
    assert "/live/wall" in found


# Addresses


@pytest.mark.parametrize(
    "address",
    [
        *("/static/../app.py", "/static/..%2fapp.py", "/static/%2e%2e/app.py", "/static//etc/passwd", "/static/"),
        *(
            "/fonts/../stock.py",
            "/fonts/..\\stock.py",
            "/static/%00",
            "/static/....//app.py",
            "/fonts/../../../etc/passwd",
        ),
    ],
)
def test_no_file_but_our_own_is_given_out(house: House, address: str) -> None:
    reply = Visitor(house).get(address)
    assert reply.status == 404
    assert b"import" not in reply.body


def test_our_own_files_are(house: House) -> None:
    for file in STATIC:
        reply = Visitor(house).get(f"/static/{file.name}", "HEAD")
        assert (reply.status, int(reply.headers["content-length"])) == (200, file.stat().st_size)


@pytest.mark.parametrize("method", ["OPTIONS", "PUT", "DELETE", "PATCH", "TRACE", "POST"])
@pytest.mark.parametrize("address", ["/wall", "/jobs/J0001", "/live/wall", "/week"])
def test_a_page_is_only_looked_at(house: House, method: str, address: str) -> None:
    house.job()
    reply = Visitor(house).get(address, method)
    assert reply.status == 405
    assert set(reply.headers["allow"].split(", ")) == {"GET", "HEAD"}
    assert "That cannot be done here" in shown(reply)


def test_a_page_that_is_not_there_is_said_in_words_to_a_person_and_as_data_to_a_program(house: House) -> None:
    assert "There is no such page" in shown(Visitor(house).get("/nothing"))
    assert house.get("/nothing").error["what"] == "Not Found"


# When something fails


def gone(**_: int) -> None:
    raise LedgerError("/secret/place/ledger.db is gone")


@pytest.mark.parametrize("page", ["/jobs", "/jobs/J0001", "/presses", "/care", "/week"])
def test_a_ledger_that_cannot_be_read_is_said_on_every_page(
    house: House, monkeypatch: pytest.MonkeyPatch, page: str
) -> None:
    house.job()
    with monkeypatch.context() as patch:
        patch.setattr(house.ledger, "rows", gone)
        reply = Visitor(house).get(page)
    assert (reply.status, reply.headers["retry-after"]) == (503, "2")
    assert "The ledger cannot be used just now" in shown(reply)
    assert b"/secret" not in reply.body
    assert Visitor(house).get(page).status == 200


@pytest.mark.parametrize("page", ["/wall", "/station/press%201"])
def test_while_the_ledger_cannot_be_read_wall_and_stations_go_on_in_alarm(
    house: House, monkeypatch: pytest.MonkeyPatch, page: str
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(house.ledger, "rows", gone)
        assert Visitor(house).get(page).status == 503, "nothing is known yet"
    house.service.prove()
    house.job()
    assert "NOTHING IS RECORDED" not in shown(Visitor(house).get(page))
    monkeypatch.setattr(house.ledger, "rows", gone)
    reply = Visitor(house).get(page)
    assert (reply.status, "NOTHING IS RECORDED" in shown(reply), b"/secret" in reply.body) == (200, True, False)


def test_a_mistake_of_ours_is_said_without_its_inside(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(**_: int) -> None:
        raise RuntimeError("the inside")

    monkeypatch.setattr(house.ledger, "rows", broken)
    with house.listening() as server:
        reply = urllib3.request("GET", f"{server.url}/wall", headers={"Accept": "text/html"})
    assert reply.status == 500
    assert b"The floor made a mistake" in reply.data
    assert b"inside" not in reply.data


# What the office is told


def told(house: House, notice: str) -> None:
    """From now on the pages have something to tell the office."""
    house.app = build_app(house.service, replace(house.settings, notice=lambda: notice))


@pytest.mark.parametrize("notice", [CHANGED, UNSOUND])
def test_a_shop_file_that_was_changed_is_told_at_the_top_of_each_page_of_the_office(house: House, notice: str) -> None:
    house.job()
    for page in ("/", "/jobs", "/jobs/J0001", "/presses", "/care", "/week"):
        assert notice not in shown(Visitor(house).get(page))
    told(house, notice)
    for page in ("/", "/jobs", "/jobs/J0001", "/presses", "/care", "/week"):
        head, _, _ = Visitor(house).get(page).body.decode().partition("<main")
        assert f"{notice}." in head


@pytest.mark.parametrize("page", ["/wall", "/station/packing", "/login", "/nothing"])
def test_neither_the_wall_nor_a_station_is_told(house: House, page: str) -> None:
    told(house, CHANGED)
    assert "shop.toml" not in shown(Visitor(house).get(page))


def test_who_may_not_enter_the_office_is_not_told(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("floor.doors.access.SCRYPT_N", 16)
    for each in ROLES:
        house.access.set(each, f"the password of {each}")
    told(house, CHANGED)
    assert "shop.toml" not in shown(Visitor(house, "station").get("/"))
    assert "shop.toml" in shown(Visitor(house, "office").get("/"))


# Languages


def shop_speaking(language: str) -> Shop:
    return parse_shop(shop_data(shop={**shop_data()["shop"], "language": language}, pages={"listen": "127.0.0.1:0"}))


@pytest.fixture
def haus(tmp_path: Path) -> Iterator[House]:
    with rig.house(tmp_path, its_shop=shop_speaking("de")) as house:
        first, _ = house.job(2)
        walked(house, first, stops=7)
        yield house


GERMAN = {
    "/": "Wandanzeige",
    "/wall": "KEIN ALARM",
    "/station/packing": "FERTIG",
    "/jobs": "Auftrag annehmen",
    "/jobs/J0001": "Stücke",
    "/presses": "Eine Presse verbrennt und quetscht",
    "/care": "Pflege",
    "/week": "Nach Aufträgen",
    "/login": "Anmelden",
    "/nothing": "Diese Seite gibt es nicht",
    "/jobs/J9999": "Diesen Auftrag gibt es nicht",
}


@pytest.mark.parametrize("page", GERMAN)
def test_the_pages_speak_the_shops_language(haus: House, page: str) -> None:
    reply = Visitor(haus).get(page)
    assert GERMAN[page] in unescape(shown(reply))
    assert b'<html lang="de">' in reply.body


def test_a_changed_shop_file_is_told_in_the_shops_language(haus: House) -> None:
    told(haus, CHANGED)
    assert "shop.toml wurde geändert" in unescape(shown(Visitor(haus).get("/jobs")))


def test_money_and_moments_are_written_as_the_language_has_them(haus: House) -> None:
    words = shown(Visitor(haus).get("/jobs/J0001"))
    assert "Fr. 27. Nov. 2026 09:00" in words
    assert "21,50" in words
    assert "21.50" not in words
    assert "100,0 %" in shown(Visitor(haus).get("/week"))


def test_what_is_in_the_ledger_stays_as_it_is(haus: House) -> None:
    assert "Harbour rowing club" in shown(Visitor(haus).get("/jobs/J0001"))
    assert "Next" not in shown(Visitor(haus).get("/station/packing"))


def test_every_language_has_every_page(tmp_path_factory: pytest.TempPathFactory) -> None:
    for language in LANGUAGES:
        with rig.house(tmp_path_factory.mktemp("shop"), its_shop=shop_speaking(language)) as house:
            house.job()
            statuses = {Visitor(house).get(page).status for page in list(GERMAN)[:-2]}
            assert statuses == {200}
