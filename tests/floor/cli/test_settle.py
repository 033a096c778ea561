"""`check`: what the shop file names must be there."""

from pathlib import Path

import pytest

from tests.floor.cli.desk import Desk


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


LISTEN = 'listen = "127.0.0.1:8765"'
LANGUAGE = 'language = "en"'
STOCK = 'stock = "label-100x150"'


@pytest.mark.parametrize(
    ("key", "old", "new", "allowed"),
    [
        ("pages.listen", LISTEN, 'listen = "8765"', "a host and a port"),
        ("shop.language", LANGUAGE, 'language = "tlh"', "en, de"),
        ("shop.stock", STOCK, 'stock = "papyrus"', "label-100x150, "),
    ],
)
def test_a_value_that_nothing_can_be_done_with_is_said_with_what_is_allowed(
    desk: Desk, key: str, old: str, new: str, allowed: str
) -> None:
    desk.rewrite(old, new)
    result = desk("check")
    assert result.exit_code == 1
    assert result.stderr.startswith(f"shop.toml: {key}: found ")
    assert f"allowed {allowed}" in result.stderr
    assert desk.json("check", status=1)["error"]["where"] == f"shop.toml: {key}"


def test_all_of_them_are_said_at_once(desk: Desk) -> None:
    desk.rewrite(LISTEN, 'listen = "x"')
    desk.rewrite(STOCK, 'stock = "x"')
    assert len(desk("check").stderr.splitlines()) == 2
    assert len(desk.json("check", status=1)["errors"]) == 2


def test_a_wrong_language_is_said_with_every_other_mistake(desk: Desk) -> None:
    desk.rewrite(LANGUAGE, 'language = "deutsch"')
    desk.rewrite("holds = 1 ", "holds = true ")
    assert [error["where"] for error in desk.json("check", status=1)["errors"]] == [
        "shop.toml: shop.language",
        'shop.toml: stations[3] "press 1".holds',
    ]


def test_the_line_that_is_proposed_is_right(desk: Desk) -> None:
    desk.rewrite(LISTEN, 'listen = "x"')
    desk.rewrite(STOCK, 'stock = "x"')
    for error in desk.json("check", status=1)["errors"]:
        key, _, _ = error["do"].removeprefix("Write: ").partition(" ")
        desk.rewrite(f'{key} = "x"', error["do"].removeprefix("Write: "))
    assert desk.json("check")["good"]


def test_the_pages_may_be_german(desk: Desk) -> None:
    desk.rewrite(LANGUAGE, 'language = "de"')
    assert desk.json("check")["good"]


def test_a_change_that_reaches_no_ticket_that_is_out_is_told(desk: Desk) -> None:
    pieces = desk.job()
    assert desk.json("check")["kept_routes"] == []
    desk.rewrite("min_s = 180 ", "min_s = 240 ")
    told = "A ticket keeps its route: cure: min_s: 180 for 3 open pieces of J0001, 240 in the shop file."
    assert told in desk("check").stdout.splitlines()
    [kept] = desk.json("check")["kept_routes"]
    assert (kept["step"], kept["what"], kept["ticket"], kept["shop"]) == ("cure", "min_s", "180", "240")
    assert (kept["pieces"], kept["jobs"]) == (pieces, ["J0001"])


def test_a_piece_in_a_press_that_was_taken_out_of_the_shop_file_is_told(desk: Desk) -> None:
    [piece, *_] = desk.job()
    for minute, station in enumerate(("pretreat booth", "printer 1", "inspection", "printer 1", "press 1")):
        desk("scan", piece, "--station", station, "--at", f"2026-11-23T09:{minute:02}:00")
    assert desk.json("check")["stranded"] == []
    desk.rewrite('name = "press 1"', 'name = "heat press"')
    told = f"{piece} of J0001 is in press 1, where cure is no longer done: "
    assert [line for line in desk("check").stdout.splitlines() if line.startswith(told)]
    assert desk.json("check")["stranded"] == [{"piece": piece, "job": "J0001", "step": "cure", "station": "press 1"}]


def test_what_is_unusual_is_told_and_refuses_nothing(desk: Desk) -> None:
    desk.rewrite("min_s = 180 ", "min_s = 3 ")
    told = (
        "Unusual: shop.toml: steps.cure.min_s: 3 s; usual: 15 to 1800 s; if minutes were meant, write 60 times as much."
    )
    assert told in desk("check").stdout.splitlines()
    [odd] = desk.json("check")["unusual"]
    assert odd["where"] == "steps.cure.min_s"
