"""By which names the floor may be asked for: on every path, whoever asks."""

import socket
from pathlib import Path

import pytest

from floor.web.gate.names import names_of
from scanners.post import Unreached, understood
from shared.files.problems import ProblemsFound
from shared.files.shop import parse_shop
from shared.files.shopfile import Pages
from tests.floor.web import rig
from tests.floor.web.rig import House, read
from tests.floor.web.visitor import Visitor, locked, shown
from tests.making import shop_data

pytestmark = pytest.mark.fault
PATHS = ["/healthz", "/readyz", "/metrics", "/login", "/wall", "/live/wall", "/jobs", "/api/board", "/api/openapi.json"]
MORE_PATHS = ["/static/pages.css", "/fonts/x", "/nothing", "/"]
FOREIGN = [
    *(
        "evil.invalid",
        "evil.invalid:8765",
        "127.0.0.1.evil.invalid",
        "localhost.evil.invalid",
        "127.0.0.1@evil.invalid",
    ),
    *("", "[", "localhost evil.invalid", "evil.invalid/127.0.0.1", "evil.invalid#localhost", "xlocalhost", "local"),
]


@pytest.mark.parametrize("path", [*PATHS, *MORE_PATHS])
@pytest.mark.parametrize("method", ["GET", "HEAD", "POST", "OPTIONS"])
def test_no_path_answers_to_a_foreign_name(house: House, path: str, method: str) -> None:
    """DNS rebinding (common practice against it; RFC 9110, 15.5.20, for the status)."""
    reply = house.call(method, path, headers={"Host": "evil.invalid:8765"})
    assert (reply.status, reply.headers["x-content-type-options"]) == (421, "nosniff")
    assert reply.error["found"] == "evil.invalid:8765"


@pytest.mark.parametrize("host", FOREIGN)
def test_a_name_that_only_looks_like_ours_is_foreign(house: House, host: str) -> None:
    assert house.get("/healthz", headers={"Host": host}).status == 421


@pytest.mark.parametrize(
    "host", ["localhost", "LOCALHOST:80", "127.0.0.1:8765", "[::1]:8765", "192.168.0.9", "10.0.0.7:80", "localhost."]
)
def test_addresses_and_the_names_of_this_machine_are_ours(house: House, host: str) -> None:
    assert house.get("/healthz", headers={"Host": host}).status == 200


def test_the_machine_s_own_name_is_ours_with_and_without_its_domain(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(socket, "gethostname", lambda: "Floor.shop.example")
    assert names_of(Pages(listen="desk:80", names=["Other.example"])) == {
        *("localhost", "desk", "floor.shop.example", "floor", "floor.local", "other.example")
    }


def test_a_name_in_the_shop_file_is_ours(tmp_path: Path) -> None:
    shop = parse_shop(shop_data(pages={"names": ["floor.example"]}))
    with rig.house(tmp_path, its_shop=shop) as house:
        assert house.get("/healthz", headers={"Host": "floor.example:8765"}).status == 200
        assert house.get("/healthz", headers={"Host": "x.floor.example"}).status == 421


@pytest.mark.parametrize("name", ["", "http://floor.example", "floor.example:80", "*", "a b", ".", "-x"])
def test_what_is_no_name_is_refused_in_the_shop_file(name: str) -> None:
    with pytest.raises(ProblemsFound, match="without http:// and port"):
        parse_shop(shop_data(pages={"names": [name]}))


def test_nothing_is_recorded_for_a_foreign_name_and_a_bench_keeps_its_reads(house: House) -> None:
    reply = house.post(read(), headers={"Host": "evil.invalid"})
    assert reply.status == 421
    assert house.rows() == []
    assert isinstance(understood(reply.status, reply.body, "", []), Unreached), "it sends them again"


def test_nobody_signs_in_by_a_foreign_name_and_is_told_so_in_words(tmp_path: Path) -> None:
    with locked(tmp_path) as house:
        told = Visitor(house, "office", host="evil.invalid").get("/jobs")
        assert (told.status, "The floor does not go by this name" in shown(told)) == (421, True)
        stranger = Visitor(house, host="evil.invalid")
        reply = stranger.post("/login", {"password": "the password of office"}, page=None)
        assert (reply.status, "set-cookie" in reply.headers) == (421, False)
