"""A ledger that somebody had their hands in is damaged, in one line; no shape of it is a mistake of ours."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from floor.ledger import Damaged, Ledger, make_ledger, open_ledger
from floor.ledger.check import first_trouble
from tests.floor.ledger.facts import a_read, append

pytestmark = pytest.mark.fault
BROKEN = {
    "ledger dropped": "DROP TABLE ledger",
    "head dropped": "DROP TABLE ledger_head",
    "revision dropped": "DROP TABLE alembic_version",
    "column dropped": "ALTER TABLE ledger DROP COLUMN device",
    "text for a moment": "UPDATE ledger SET occurred_at = 'noon'",
    "a moment of no calendar": "UPDATE ledger SET occurred_at = 9000000000000000000",
    "a moment before all calendars": "UPDATE ledger SET recorded_at = -9000000000000000000",
    "bytes for a moment": "UPDATE ledger SET occurred_at = X'ff'",
    "text for a version": "UPDATE ledger SET body_version = 'x'",
    "bytes for a body": "UPDATE ledger SET body = X'ff00'",
    "a number for a body": "UPDATE ledger SET body = 5",
    "text for the head": "UPDATE ledger_head SET seq = 'many'",
    "bytes for the head's hash": "UPDATE ledger_head SET hash = X'ff'",
}


def look(ledger: Ledger) -> None:
    list(ledger.rows())
    append(ledger, a_read("another"))


def check(ledger: Ledger) -> None:
    if trouble := first_trouble(ledger):
        raise Damaged(trouble)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    with closing(make_ledger(f"sqlite:///{tmp_path}/ledger.db")) as ledger:
        append(ledger, a_read("r-1"))
    return tmp_path / "ledger.db"


def break_it(file: Path, statement: str) -> None:
    with closing(sqlite3.connect(file)) as connection, connection:
        connection.execute(statement)


@pytest.mark.parametrize("statement", BROKEN.values(), ids=BROKEN)
@pytest.mark.parametrize("use", [look, check])
def test_it_is_damaged_in_one_line(file: Path, statement: str, use: Callable[[Ledger], None]) -> None:
    break_it(file, statement)

    def open_and_use() -> None:
        with closing(open_ledger(f"sqlite:///{file}")) as ledger:
            use(ledger)

    with pytest.raises(Damaged) as damaged:
        open_and_use()
    assert "\n" not in str(damaged.value)
    assert "restore the newest good backup" in str(damaged.value)


@pytest.mark.parametrize("length", [0, 100, 4_096, 8_192, 12_288, 20_000])
def test_a_file_that_is_cut_off_while_it_is_open_is_never_acknowledged_into(file: Path, length: int) -> None:
    with closing(open_ledger(f"sqlite:///{file}")) as ledger:
        append(ledger, a_read("r-2"))
        with file.open("rb+") as opened:
            opened.truncate(length)
        with pytest.raises(Exception, match=r"ledger\.db|the head of the ledger"):
            append(ledger, a_read("r-3"))


@pytest.mark.parametrize("url", ["sqlite://", "sqlite:///", "sqlite:///led\0ger.db"])
def test_an_address_that_names_no_file_says_what_is_expected(url: str) -> None:
    with pytest.raises(ValueError, match="expected sqlite:///FILE"):
        open_ledger(url)
