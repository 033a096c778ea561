"""A ledger that is missing is told with the way back to it, and never becomes an empty one."""

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from tests.floor.cli.desk import JOB, Desk

COMMANDS = (
    ["check"],
    ["run"],
    ["board"],
    ["wall", "--once"],
    ["report"],
    ["scan", "1000000137"],
    ["job", "add", "-"],
    ["job", "list"],
    ["tickets", "J0001"],
    ["backup", "copy.db"],
    ["export", "csv", "-o", "out"],
    ["lot", "list"],
    ["move", "--to", "sqlite:///moved.db"],
)


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """A shop with a job, and a backup made in the folder of backups."""
    desk = Desk(tmp_path)
    desk.job()
    desk.back_up("ledger-2026-11-25.db")
    return desk


def gone(desk: Desk) -> None:
    (desk.shop / "ledger.db").unlink()


def emptied(desk: Desk) -> None:
    (desk.shop / "ledger.db").write_bytes(b"")


def misspelt(desk: Desk) -> None:
    desk.rewrite('"sqlite:///ledger.db"', '"sqlite:///legder.db"')


def not_mounted(desk: Desk) -> None:
    desk.rewrite('"sqlite:///ledger.db"', '"sqlite:///no-such-disk/ledger.db"')


def files(desk: Desk) -> set[tuple[Path, int]]:
    present = (file for file in desk.shop.rglob("*.db") if file.is_file())
    return {(file, file.stat().st_size) for file in present}


def assert_told(result: Result, desk: Desk) -> None:
    [line] = result.stderr.splitlines()
    assert result.exit_code == 1
    assert line.startswith("The ledger is missing: ")
    assert "legder.db: " in line or "ledger.db: " in line
    newest = desk.shop / "backups" / "ledger-2026-11-25.db"
    assert f"The newest good backup is {newest}." in line
    assert line.endswith(f"piecewalk --shop {desk.shop} restore {newest}")


@pytest.mark.fault
@pytest.mark.parametrize("lose", [gone, emptied, misspelt, not_mounted])
def test_no_command_begins_another_ledger(
    desk: Desk, lose: Callable[[Desk], None], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    lose(desk)
    before = files(desk)
    for words in COMMANDS:
        assert_told(desk(*words, stdin=JOB), desk)
        assert files(desk) == before, words


def test_a_script_is_told_where_it_failed(desk: Desk) -> None:
    gone(desk)
    error = desk.json("check", status=1)["error"]
    assert error["where"] == "ledger"
    assert "restore" in error["do"]


def test_what_was_told_brings_it_back(desk: Desk) -> None:
    gone(desk)
    command = desk("check").stderr.strip().rpartition("piecewalk ")[2].split()
    assert desk(*command[2:]).exit_code == 0
    assert desk.json("board")["jobs"][0]["job"] == "J0001"
    assert desk.json("job", "add", "-", stdin=JOB)["job"] == "J0002"


def test_without_a_backup_it_is_said_how_a_new_shop_begins(desk: Desk) -> None:
    gone(desk)
    (desk.shop / "backups" / "ledger-2026-11-25.db").unlink()
    [line] = desk("check").stderr.splitlines()
    assert f"There is no good backup in {desk.shop / 'backups'}" in line
    assert line.endswith(f"piecewalk init {desk.shop} --empty-ledger")
    assert desk("init", str(desk.shop), "--empty-ledger").exit_code == 0
    assert desk.json("check")["rows"] == 0


def test_an_empty_ledger_is_not_begun_beside_one_that_is_there(desk: Desk) -> None:
    result = desk("init", str(desk.shop), "--empty-ledger")
    assert result.exit_code == 1
    assert result.stderr.startswith("There is a ledger of ")
    assert len(desk.json("board")["jobs"]) == 1
