"""What a shell completes, as it asks for it."""

from pathlib import Path

import pytest
from click.shell_completion import BashComplete

from floor.cli.main import main
from tests.floor.cli.desk import JOB, Desk


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = Desk(tmp_path)
    desk.job()
    desk("job", "add", "-", stdin=JOB)
    return desk


def completed(shop: Path, *words: str) -> list[str]:
    """What may stand for the last word."""
    *before, incomplete = words
    shell = BashComplete(main, {}, "piecewalk", "_PIECEWALK_COMPLETE")
    return [each.value for each in shell.get_completions(["--shop", str(shop), *before], incomplete)]


@pytest.mark.parametrize("typed", ["J", "j", "J00"])
@pytest.mark.parametrize("words", [("job", "show"), ("tickets",), ("report", "explain")])
def test_a_job_completes_the_latest_first(desk: Desk, words: tuple[str, ...], typed: str) -> None:
    assert completed(desk.shop, *words, typed) == ["J0002", "J0001"]


def test_pieces_stations_and_items_complete(desk: Desk) -> None:
    pieces = [piece["piece"] for piece in desk.json("job", "show", "J0001")["walks"]]
    assert set(pieces) < set(completed(desk.shop, "piece", "1"))
    assert completed(desk.shop, "scan", "--station", "pre") == ["pretreat booth", "press 1"]
    assert completed(desk.shop, "stock", "receive", "heavy") == ["heavy tee"]
    assert completed(desk.shop, "trace", "--press", "") == ["press 1"]


@pytest.mark.parametrize("words", [("job", "show", "J"), ("piece", "1"), ("scan", "--station", "p")])
def test_where_nothing_can_be_read_nothing_completes_and_nothing_is_made(
    tmp_path: Path, words: tuple[str, ...]
) -> None:
    assert completed(tmp_path, *words) == []
    assert list(tmp_path.iterdir()) == []


def test_a_ledger_that_is_not_there_is_not_made(desk: Desk) -> None:
    ledger = desk.shop / "ledger.db"
    ledger.unlink()
    assert completed(desk.shop, "job", "show", "J") == []
    assert not ledger.exists()


def test_a_broken_shop_file_says_nothing(desk: Desk, capfd: pytest.CaptureFixture[str]) -> None:
    (desk.shop / "shop.toml").write_text("not a shop", encoding="utf-8")
    assert completed(desk.shop, "stock", "receive", "") == []
    assert capfd.readouterr() == ("", "")


def test_what_is_typed_matches_nothing_but_itself(desk: Desk) -> None:
    assert completed(desk.shop, "job", "show", "%") == []
