"""Who mistypes a name is asked whether the nearest one was meant."""

from pathlib import Path

import pytest

from tests.floor.cli.desk import Desk


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = Desk(tmp_path)
    desk.job()
    return desk


RECEIVED = ("--size", "M", "--quantity", "5", "--cost-each", "2.60")
MISTYPED = [
    (("job", "show", "J00001"), "J0001"),
    (("job", "hold", "J0O01"), "J0001"),
    (("tickets", "J001"), "J0001"),
    (("report", "explain", "J001", "labour"), "J0001"),
    (("piece", "1000000160"), "1000000161"),
    (("scan", "1000000161", "--station", "pretreat both"), "pretreat booth"),
    (("lot", "open", "pretreat", "P 7", "--station", "pretreat both"), "pretreat booth"),
    (("lot", "open", "blank", "P 7", "--item", "heavy te"), "heavy tee"),
    (("stock", "receive", "heavy te", "--colour", "navy", *RECEIVED), "heavy tee"),
    (("stock", "receive", "heavy tee", "--colour", "nawy", *RECEIVED), "navy"),
    (("ink", "estimate", "-", "--width-mm", "300", "--item", "heavy te"), "heavy tee"),
    (("ink", "estimate", "-", "--width-mm", "300", "--item", "heavy tee", "--colour", "nawy"), "navy"),
    (("trace", "--press", "pres 1"), "press 1"),
    (("report", "explain", "J0001", "labor"), "labour"),
    (("tickets", "J0001", "--stock", "label-4x5"), "label-4x6"),
    (("ink", "refill", "colou", "--ml", "5"), "colour"),
    (("access", "set", "offce"), "office"),
    (("lot", "open", "white-ink", "P 7"), "white_ink"),
    (("export", "epics"), "epcis"),
]


@pytest.mark.parametrize(("words", "meant"), MISTYPED, ids=[" ".join(words[:3]) for words, _ in MISTYPED])
def test_the_nearest_name_is_proposed(desk: Desk, words: tuple[str, ...], meant: str) -> None:
    result = desk(*words)
    assert result.exit_code in {1, 2}
    assert f'Did you mean "{meant}"?' in result.stderr.replace("“", '"').replace("”", '"')


def test_a_badge_and_a_line_on_paper_are_asked_about_too(desk: Desk) -> None:
    with (desk.shop / "shop.toml").open("a", encoding="utf-8") as file:
        file.write('[[badges]]\nname = "Marten"\n')
    scan = desk("scan", "1000000161", "--station", "pretreat booth", "--badge", "Martin")
    assert "Did you mean “Marten”?" in scan.stderr
    lines = "occurred_at,code,station,badge\n2026-11-23T09:00,1000000161,pretreat both,Martin\n"
    told = desk("backfill", "-", stdin=lines).stderr
    assert 'Did you mean "pretreat booth"?' in told
    assert 'Did you mean "Marten"?' in told


def test_where_no_name_is_near_the_few_that_there_are_are_named(desk: Desk) -> None:
    """The badges of a new shop have one letter: none is like another."""
    said = desk("scan", "1000000161", "--station", "pretreat booth", "--badge", "X")
    assert "There is no badge “X” in the shop file. There are: A, B." in said.stderr
    assert "There are" not in desk("scan", "1000000161", "--station", "X").stderr, "too many to be read at a glance"


def test_a_script_gets_what_was_meant_and_all_that_is_allowed(desk: Desk) -> None:
    error = desk.json("trace", "--press", "pres 1", status=1)["error"]
    assert error["do"].startswith('Did you mean "press 1"?')
    assert desk.json("ink", "estimate", "-", "--width-mm", "9", "--item", "tee", status=1)["error"]["allowed"]


def test_a_word_may_be_written_in_capital_letters(desk: Desk) -> None:
    file = desk.folder / "x.pdf"
    assert desk("tickets", "J0001", "--stock", "A6", "-o", str(file)).exit_code == 0
    assert file.read_bytes().startswith(b"%PDF")


def test_artwork_that_is_not_there_is_told_so(desk: Desk) -> None:
    result = desk("ink", "estimate", "nope.png", "--width-mm", "300", "--shade", "dark")
    assert result.exit_code == 1
    assert result.stderr == "There is no file nope.png. Check the name and the folder.\n"
