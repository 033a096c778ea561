"""The ledger's file is gone, replaced, or written over: nothing is acknowledged that is not in the file on the path."""

import random
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import inspect

from floor.ledger import LedgerError, Missing, Replaced, make_ledger, open_ledger
from floor.ledger.postgres import PostgresLedger
from floor.ledger.sqlite import Build, SqliteLedger
from tests.floor.ledger.facts import a_read, append, noon

pytestmark = pytest.mark.fault
builds = pytest.mark.parametrize("build", [(3, 40, 1), (3, 51, 3)], ids=["rollback journal", "write-ahead log"])


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "shop" / "ledger.db"


@pytest.fixture
def older(file: Path) -> Path:
    """A ledger of three rows, as it stood at the last backup; the one in the shop has five."""
    file.parent.mkdir()
    backup = file.parent.parent / "backup.db"
    with closing(make_ledger(f"sqlite:///{file}")) as ledger:
        append(ledger, *(a_read(f"old-{n}") for n in range(3)))
    shutil.copy(file, backup)
    with closing(open_ledger(f"sqlite:///{file}")) as ledger:
        append(ledger, *(a_read(f"old-{n}") for n in range(3, 5)))
    return backup


@pytest.fixture
def ledger(file: Path, older: Path, build: Build) -> Iterator[SqliteLedger]:
    """The shop's ledger, in which a row has just been written."""
    with closing(SqliteLedger(f"sqlite:///{file}", build=build, make=False)) as opened:
        append(opened, a_read("first"))
        yield opened


def reads(file: Path) -> list[str | None]:
    with closing(open_ledger(f"sqlite:///{file}")) as ledger:
        return [row.read_id for row in ledger.rows()]


def test_a_ledger_that_is_not_there_is_not_made_by_looking_for_it(tmp_path: Path) -> None:
    file = tmp_path / "ledger.db"
    with pytest.raises(Missing, match=r"ledger\.db: there is no such file"):
        open_ledger(f"sqlite:///{file}")
    assert not file.exists()


def test_a_ledger_that_was_emptied_is_not_begun_anew(tmp_path: Path) -> None:
    file = tmp_path / "ledger.db"
    file.touch()
    with pytest.raises(Missing, match="it holds no ledger"):
        open_ledger(f"sqlite:///{file}")
    assert file.stat().st_size == 0


def test_a_database_of_something_else_is_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "ledger.db"
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("CREATE TABLE recipes (name TEXT)")
    before = file.read_bytes()
    with pytest.raises(Missing):
        open_ledger(f"sqlite:///{file}")
    assert file.read_bytes() == before


@pytest.mark.postgres
def test_an_empty_database_on_a_server_stays_empty(postgres_url: str) -> None:
    with pytest.raises(Missing):
        open_ledger(postgres_url)
    with closing(PostgresLedger(postgres_url)) as made, made._reading.connect() as connection:
        assert inspect(connection).has_table("ledger")
        assert made.head() == 0


@builds
def test_no_row_is_written_into_a_deleted_file_and_it_goes_on_when_that_is_back(
    ledger: SqliteLedger, file: Path
) -> None:
    aside = file.with_name("aside.db")
    for end in ("", "-wal", "-shm"):
        if (part := Path(f"{file}{end}")).exists():
            part.rename(f"{aside}{end}")
    for _ in range(3):
        with pytest.raises(Missing):
            append(ledger, a_read("away"))
    assert not file.exists()
    for end in ("", "-wal", "-shm"):
        if (part := Path(f"{aside}{end}")).exists():
            part.rename(f"{file}{end}")
    append(ledger, a_read("back"))
    ledger.close()
    assert reads(file) == [*(f"old-{n}" for n in range(5)), "first", "back"]


@builds
def test_a_file_that_is_deleted_during_a_commit_is_not_acknowledged(ledger: SqliteLedger, file: Path) -> None:
    def delete_meanwhile() -> None:
        with ledger.transaction() as transaction:
            transaction.append([a_read("lost")], noon)
            file.unlink()

    with pytest.raises(LedgerError):
        delete_meanwhile()


@pytest.mark.parametrize("build", [(3, 51, 3)])
@pytest.mark.parametrize("ends", [("-wal",), ("-shm",), ("-wal", "-shm")], ids=" and ".join)
def test_what_is_acknowledged_after_the_log_was_deleted_outlives_a_crash(
    ledger: SqliteLedger, file: Path, tmp_path: Path, ends: tuple[str, ...]
) -> None:
    for end in ends:
        Path(f"{file}{end}").unlink()
    append(ledger, a_read("second"))
    append(ledger, a_read("third"))
    crashed = tmp_path / "crashed"
    shutil.copytree(file.parent, crashed)
    assert reads(crashed / file.name) == [*(f"old-{n}" for n in range(5)), "first", "second", "third"]


def by_rename(copy: Path, file: Path) -> None:
    Path(shutil.copy(copy, copy.with_name("next.db"))).replace(file)
    for end in ("-wal", "-shm"):
        Path(f"{file}{end}").unlink(missing_ok=True)


def in_place(copy: Path, file: Path) -> None:
    """As `cp` does: the file stays, its content is another."""
    file.write_bytes(copy.read_bytes())


ways = pytest.mark.parametrize("put", [by_rename, in_place])


@builds
@ways
def test_an_older_copy_in_its_place_is_never_written_to(
    ledger: SqliteLedger, file: Path, older: Path, put: Callable[[Path, Path], None]
) -> None:
    append(ledger, *(a_read(f"more-{n}") for n in range(100)))
    checkpoint(file)
    put(older, file)
    for _ in range(3):
        with pytest.raises(LedgerError):
            append(ledger, a_read("after"))


def checkpoint(file: Path) -> None:
    """All that is in the write-ahead log comes into the file."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA wal_checkpoint")


@builds
def test_another_ledger_with_more_rows_is_not_ours(ledger: SqliteLedger, file: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.db"
    with closing(make_ledger(f"sqlite:///{other}")) as another:
        append(another, *(a_read(f"other-{n}") for n in range(50)))
    by_rename(other, file)
    with pytest.raises(Replaced, match=r"no row 6 of ours.*restore the right one"):
        append(ledger, a_read("after"))


@pytest.mark.parametrize("build", [(3, 40, 1)])
def test_a_copy_that_holds_all_rows_is_as_good_as_the_file(ledger: SqliteLedger, file: Path) -> None:
    by_rename(Path(shutil.copy(file, file.with_name("moved.db"))), file)
    append(ledger, a_read("after"))
    ledger.close()
    assert reads(file)[-2:] == ["first", "after"]


@builds
def test_rows_of_another_program_are_no_reason_to_stop(ledger: SqliteLedger, file: Path, build: Build) -> None:
    with closing(SqliteLedger(f"sqlite:///{file}", build=build, make=False)) as other:
        for n in range(3):
            append(other, a_read(f"theirs-{n}"))
            append(ledger, a_read(f"ours-{n}"))
    assert ledger.head() == 12


@builds
def test_whatever_is_put_there_at_random_no_acknowledged_row_is_lost_without_a_word(
    file: Path, older: Path, build: Build
) -> None:
    """Either the next row is refused, or all that was acknowledged is in the file, which its log may have mended."""
    for seed in range(20):
        chance = random.Random(seed)
        acked = [f"{seed}-{n}" for n in range(chance.randrange(1, 80))]
        copy = Path(shutil.copy(older, file.with_name(f"{seed}.db")))
        with closing(SqliteLedger(f"sqlite:///{copy}", build=build, make=False)) as ledger:
            cut = chance.randrange(len(acked))
            append(ledger, *map(a_read, acked[:cut]))
            if chance.random() < 0.5:
                checkpoint(copy)
            append(ledger, *map(a_read, acked[cut:]))
            chance.choice([in_place, by_rename])(older, copy)
            refused = not_taken(ledger, "after")
        if not refused:
            assert {*acked, "after"} <= set(reads(copy)), f"seed {seed}"


def not_taken(ledger: SqliteLedger, read_id: str) -> bool:
    try:
        append(ledger, a_read(read_id))
    except LedgerError:
        return True
    return False


@builds
def test_to_rehearse_adds_no_row_but_fails_as_a_row_would(ledger: SqliteLedger, file: Path) -> None:
    before = ledger.noted_head()
    ledger.rehearse()
    assert ledger.noted_head() == before
    file.unlink()
    with pytest.raises(Missing):
        ledger.rehearse()
