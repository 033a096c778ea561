"""`backup`, `restore`, `move`, and what `check` says when something is wrong."""

from contextlib import closing
from pathlib import Path

import pytest

from floor.ledger.row import Row
from floor.ledger.sqlite import SqliteLedger
from floor.service.lock import floor_lock
from shared.events.reads import StepDone
from shared.events.recorded import Fact
from tests.floor.cli.desk import Desk
from tests.floor.ledger.facts import append, noon

A_JOB = 5
"""The rows of a job with three pieces, and of the prices that are in force."""


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """A shop with a job of three pieces."""
    desk = Desk(tmp_path)
    desk.job()
    return desk


def rows(file: Path) -> list[Row]:
    with closing(SqliteLedger(f"sqlite:///{file}")) as ledger:
        return list(ledger.stored())


def ledger_of(desk: Desk) -> Path:
    return desk.shop / "ledger.db"


def damage(file: Path) -> None:
    """One bit flips in a text of the first row."""
    content = bytearray(file.read_bytes())
    content[content.index(b"rowing club")] ^= 0x01
    file.write_bytes(content)


def nightly(desk: Desk, day: str) -> Path:
    (desk.shop / "backups").mkdir(exist_ok=True)
    file = desk.shop / "backups" / f"ledger-{day}.db"
    assert desk("backup", str(file)).exit_code == 0
    return file


def test_a_backup_says_how_many_rows_it_has_and_their_hash(desk: Desk) -> None:
    file = desk.folder / "copy.db"
    answer = desk.json("backup", str(file))
    assert rows(file) == rows(ledger_of(desk))
    assert (answer["rows"], answer["hash"]) == (A_JOB, rows(file)[-1].hash)
    assert answer["hash"] in desk("backup", str(file), "--force").output


def test_a_backup_that_is_there_is_replaced_only_by_force(desk: Desk) -> None:
    file = desk.folder / "copy.db"
    first = desk.json("backup", str(file))
    desk.job()
    before = file.read_bytes()
    result = desk("backup", str(file))
    assert result.exit_code == 1
    assert "is a backup already" in result.stderr
    assert "--force" in result.stderr
    assert file.read_bytes() == before
    assert desk.json("backup", str(file), "--force")["rows"] > first["rows"]


def test_a_backup_is_made_while_the_floor_runs(desk: Desk) -> None:
    with floor_lock(desk.shop):
        assert desk.json("backup", str(desk.folder / "copy.db"))["rows"] == A_JOB


@pytest.mark.parametrize("name", ["shop.toml", "ledger.db"])
def test_a_backup_takes_the_place_of_nothing_but_a_backup(desk: Desk, name: str) -> None:
    file = desk.shop / name
    before = file.read_bytes()
    result = desk("backup", str(file), "--force")
    assert result.exit_code == 1
    assert "Name another file" in result.stderr
    assert file.read_bytes() == before


def test_a_backup_into_a_folder_that_is_missing_is_refused_in_a_line(desk: Desk) -> None:
    result = desk("backup", str(desk.folder / "no" / "copy.db"))
    assert result.exit_code == 1
    assert len(result.stderr.splitlines()) == 1
    assert "cannot be written" in result.stderr


def test_a_restored_ledger_is_the_backup_and_the_one_before_is_kept(desk: Desk) -> None:
    file = nightly(desk, "2026-11-24")
    then = rows(file)
    desk.job()
    later = rows(ledger_of(desk))
    answer = desk.json("restore", str(file), "--yes")
    assert rows(ledger_of(desk)) == then
    assert rows(Path(answer["kept"])) == later
    assert Path(answer["kept"]).parent == desk.shop.resolve()
    assert len(desk.json("job", "list")["jobs"]) == 1


def test_a_ledger_that_is_damaged_can_be_restored_and_is_kept_as_it_is(desk: Desk) -> None:
    file = nightly(desk, "2026-11-24")
    ledger_of(desk).write_bytes(b"noise " * 2000)
    answer = desk.json("restore", str(file), "--yes")
    assert Path(answer["kept"]).read_bytes() == b"noise " * 2000
    assert desk.json("check")["good"] is True


def test_a_lost_ledger_is_restored_without_a_question(desk: Desk) -> None:
    file = nightly(desk, "2026-11-24")
    ledger_of(desk).unlink()
    assert desk.json("restore", str(file)) == {"rows": A_JOB, "hash": rows(file)[-1].hash, "kept": None}


def test_restored_twice_in_one_second_both_are_kept(desk: Desk) -> None:
    file = nightly(desk, "2026-11-24")
    kept = {desk.json("restore", str(file), "--yes")["kept"] for _ in range(3)}
    assert len(kept) == 3
    assert all(Path(each).exists() for each in kept)


def test_a_ledger_with_rows_is_put_aside_by_nobody_s_accident(desk: Desk) -> None:
    file = nightly(desk, "2026-11-24")
    before = sorted(desk.shop.iterdir())
    result = desk("restore", str(file))
    assert result.exit_code == 1
    assert f"a ledger of {A_JOB} rows" in result.stderr
    assert "--yes" in result.stderr
    assert sorted(path for path in desk.shop.iterdir() if "lock" not in path.name) == before


def test_nothing_is_restored_while_the_floor_runs(desk: Desk) -> None:
    file = nightly(desk, "2026-11-24")
    desk.job()
    with floor_lock(desk.shop):
        result = desk("restore", str(file), "--yes")
    assert result.exit_code == 1
    assert "running already" in result.stderr
    assert len(rows(ledger_of(desk))) == 2 * A_JOB - 1  # the prices are those before


@pytest.mark.parametrize("how", ["bit", "noise", "cut", "empty", "gone"])
def test_a_backup_that_is_not_good_is_refused_and_nothing_is_touched(desk: Desk, how: str) -> None:
    file = nightly(desk, "2026-11-24")
    content = file.read_bytes()
    if how == "bit":
        damage(file)
    elif how == "gone":
        file.unlink()
    else:
        file.write_bytes({"noise": b"noise " * 2000, "cut": content[: len(content) // 2], "empty": b""}[how])
    before = ledger_of(desk).read_bytes()
    result = desk("restore", str(file), "--yes")
    assert result.exit_code == 1
    assert len(result.stderr.splitlines()) == 1
    assert ledger_of(desk).read_bytes() == before
    assert list(desk.shop.glob("ledger*")) == [ledger_of(desk)]


def test_a_flipped_bit_is_named_with_its_row_the_newest_good_backup_and_the_way_back(desk: Desk) -> None:
    good, bad = nightly(desk, "2026-11-24"), nightly(desk, "2026-11-25")
    damage(bad)
    damage(ledger_of(desk))
    for command in (("check",), ("run",), ("backup", str(desk.folder / "copy.db"))):
        result = desk(*command)
        assert result.exit_code == 1, command
        assert "row 2: it was changed" in result.stderr
        assert f"restore {good}" in result.stderr
        assert len(result.stderr.splitlines()) == 1
    assert desk("restore", str(good), "--yes").exit_code == 0
    assert desk.json("check")["newest_backup"] == str(good)


def test_a_ledger_that_cannot_even_be_opened_names_the_way_back(desk: Desk) -> None:
    good = nightly(desk, "2026-11-24")
    ledger_of(desk).write_bytes(b"noise " * 2000)
    for command in ("check", "board"):
        assert f"restore {good}" in desk(command).stderr


def test_without_a_good_backup_that_is_said(desk: Desk) -> None:
    damage(ledger_of(desk))
    assert "There is no good backup in" in desk("check").stderr


def test_a_row_that_cannot_be_true_is_named_although_every_hash_fits(desk: Desk) -> None:
    with closing(SqliteLedger(f"sqlite:///{ledger_of(desk)}")) as ledger:
        append(ledger, Fact(event=StepDone(piece="1000000999", step=0, event="pretreated"), occurred_at=noon))
    result = desk("check")
    assert result.exit_code == 1
    assert f"row {A_JOB + 1}: it is about piece 1000000999, which nobody opened" in result.stderr


def test_a_moved_ledger_is_the_same_and_the_shop_file_stays_as_it_is(desk: Desk) -> None:
    file = (desk.shop / "shop.toml").read_bytes()
    answer = desk.json("move", "--to", "sqlite:///elsewhere.db")
    assert answer["line"] == 'database = "sqlite:///elsewhere.db"'
    assert rows(desk.shop / "elsewhere.db") == rows(ledger_of(desk))
    assert (desk.shop / "shop.toml").read_bytes() == file


def test_a_ledger_is_moved_onto_no_other_and_not_while_the_floor_runs(desk: Desk) -> None:
    assert desk("move", "--to", "sqlite:///elsewhere.db").exit_code == 0
    again = desk("move", "--to", "sqlite:///elsewhere.db")
    assert again.exit_code == 1
    assert f"{A_JOB} rows in it already" in again.stderr
    with floor_lock(desk.shop):
        assert "running already" in desk("move", "--to", "sqlite:///third.db").stderr


@pytest.mark.postgres
def test_a_shop_moves_to_a_server_and_is_restored_from_it_only_into_an_empty_one(desk: Desk, postgres_url: str) -> None:
    assert desk.json("move", "--to", postgres_url)["rows"] == A_JOB
    file = desk.shop / "shop.toml"
    text = file.read_text(encoding="utf-8").replace("sqlite:///ledger.db", postgres_url)
    file.write_text(text, encoding="utf-8")
    copied = desk.folder / "copy.db"
    assert desk.json("backup", str(copied))["rows"] == A_JOB
    assert rows(copied) == rows(ledger_of(desk))
    result = desk("restore", str(copied), "--yes")
    assert result.exit_code == 1
    assert "new, empty database" in result.stderr


def test_a_shop_may_stand_in_a_folder_of_any_name(tmp_path: Path) -> None:
    folder = tmp_path / "50%20 of what? #1"
    folder.mkdir()
    desk = Desk(folder)
    desk.job()
    assert (desk.shop / "ledger.db").exists()
    assert desk("backup", str(desk.shop / "copy.db")).exit_code == 0
    (desk.shop / "ledger.db").unlink()
    assert desk("restore", str(desk.shop / "copy.db")).exit_code == 0
    assert [job["job"] for job in desk.json("job", "list")["jobs"]] == ["J0001"]
