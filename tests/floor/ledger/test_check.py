"""A ledger that was tampered with, or rotted, is found out, and the first bad row is named."""

import shutil
import sqlite3
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

import pytest

from floor.ledger import Damaged, Ledger
from floor.ledger.check import first_trouble, verified
from floor.ledger.row import Row, digest
from floor.ledger.sqlite import SqliteLedger
from tests.floor.ledger.facts import a_read, append, assumed

last = 9
long = 250
"""Rows enough for the table to fill many pages of the file."""


@pytest.fixture(scope="module")
def sound_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A ledger file of nine rows in three streams."""
    return _file(tmp_path_factory.mktemp("sound") / "ledger.db", last)


@pytest.fixture(scope="module")
def long_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A ledger file of many pages."""
    return _file(tmp_path_factory.mktemp("long") / "ledger.db", long)


def _file(path: Path, rows: int) -> Path:
    ledger = SqliteLedger(f"sqlite:///{path}")
    append(ledger, *[a_read(f"r-{n}", piece=str(10 + n % 3)) for n in range(1, rows + 1)])
    ledger.close()
    return path


def trouble_after(tampering: str, file: Path, tmp_path: Path) -> str | None:
    """What `check` says about a copy of a file after some SQL was run on it."""
    copy = Path(shutil.copy(file, tmp_path))
    connection = sqlite3.connect(copy)
    connection.executescript(tampering)
    connection.close()
    return trouble_of(copy)


def trouble_of(file: Path) -> str | None:
    """What `check` says about a file."""
    ledger = SqliteLedger(f"sqlite:///{file}")
    try:
        return first_trouble(ledger)
    finally:
        ledger.close()


changed_to = {
    "seq": ["100"],
    "stream": ["'12 '", "''"],
    "version": ["version + 10", "version + 0.5", "'x'"],
    "kind": ["'step started'"],
    "occurred_at": ["occurred_at + 1", "occurred_at || ''  || 'x'"],
    "recorded_at": ["recorded_at - 1"],
    "read_id": ["NULL", "'r-99'", "x'722d31'"],
    "station": ["NULL", "'printer 2'", "''"],
    "badge": ["NULL", "'B'"],
    "device": ["NULL", "'x'"],
    "body": ["replace(body, '165', '166')", "body || ' '", "'{}'", "CAST(body AS BLOB)"],
    "body_version": ["body_version + 1", "0"],
    "hash": ["upper(hash)", "''", "replace(hash, substr(hash, 9, 1), 'f') || 'f'"],
}


@pytest.mark.parametrize("seq", [1, 5, last])
@pytest.mark.parametrize(
    ("column", "value"), [(column, value) for column, values in changed_to.items() for value in values]
)
def test_one_changed_field_is_found_and_its_row_named(
    column: str, value: str, seq: int, sound_file: Path, tmp_path: Path
) -> None:
    assert set(changed_to) == set(Row._fields)
    trouble = trouble_after(f"UPDATE ledger SET {column} = {value} WHERE seq = {seq}", sound_file, tmp_path)
    assert trouble is not None
    assert trouble.startswith(f"row {seq}:")
    assert "restore the newest good backup" in trouble


@pytest.mark.parametrize(
    ("tampering", "says"),
    [
        ("DELETE FROM ledger WHERE seq = 1", "row 1: it is missing"),
        ("DELETE FROM ledger WHERE seq = 4", "row 4: it is missing, the next one is 5"),
        (f"DELETE FROM ledger WHERE seq = {last}", f"row {last}: it and all up to row {last} are missing"),
        ("DELETE FROM ledger WHERE seq > 6", "row 7: it and all up to row 9 are missing"),
        ("DELETE FROM ledger", "row 1: it and all up to row 9 are missing"),
        ("UPDATE ledger_head SET seq = 6", "row 6: it is not the row that was written last"),
        ("UPDATE ledger_head SET seq = 0, hash = ''", "row 1: the head of the ledger does not know of it"),
        ("UPDATE ledger_head SET seq = 12", "row 10: it and all up to row 12 are missing"),
        ("UPDATE ledger_head SET hash = 'x'", "row 9: it is not the row that was written last"),
        ("DELETE FROM ledger_head", "the head of the ledger is missing"),
    ],
)
def test_missing_rows_and_a_wrong_head_are_found(tampering: str, says: str, sound_file: Path, tmp_path: Path) -> None:
    assert says in (trouble_after(tampering, sound_file, tmp_path) or "")


def test_rows_that_changed_places_are_found(sound_file: Path, tmp_path: Path) -> None:
    swap = "".join(f"UPDATE ledger SET seq = {new} WHERE seq = {old};" for old, new in [(3, 99), (6, 3), (99, 6)])
    assert (trouble_after(swap, sound_file, tmp_path) or "").startswith("row 3:")


def test_the_last_row_cannot_be_rewritten_with_a_fitting_hash(sound_file: Path, tmp_path: Path) -> None:
    ledger = SqliteLedger(f"sqlite:///{sound_file}")
    *_, before, row = ledger.stored()
    ledger.close()
    forged = digest(row._replace(badge="B"), before.hash)
    forgery = f"UPDATE ledger SET badge = 'B', hash = '{forged}' WHERE seq = {last}"
    assert "not the row that was written last" in (trouble_after(forgery, sound_file, tmp_path) or "")


@pytest.mark.fault
def test_one_bit_that_flips_in_a_text_on_disk_is_found(sound_file: Path, tmp_path: Path) -> None:
    for nth, bit in enumerate([0x01, 0x20, 0x80]):  # a digit, a case, and what is no longer UTF-8
        copy = Path(shutil.copy(sound_file, tmp_path / f"{nth}.db"))
        content = bytearray(copy.read_bytes())
        content[content.index(b"colour gun") + 3] ^= bit
        copy.write_bytes(content)
        connection = sqlite3.connect(copy)
        assert connection.execute("PRAGMA quick_check").fetchone() == ("ok",)  # SQLite itself does not notice
        connection.close()
        assert "row " in (trouble_of(copy) or "")


@pytest.mark.fault
def test_noise_over_a_page_is_found(long_file: Path, tmp_path: Path) -> None:
    pages = long_file.stat().st_size // 4096
    for page in range(pages):
        copy = Path(shutil.copy(long_file, tmp_path / f"{page}.db"))
        with copy.open("r+b") as file:
            file.seek(page * 4096)
            file.write(b"\xa5" * 4096)
        try:
            trouble = trouble_of(copy)
        except Damaged as damaged:  # already when it was opened
            trouble = str(damaged)
        assert trouble is not None, f"page {page} of {pages}"


@pytest.mark.fault
def test_a_page_of_noise_amid_the_rows_names_the_first_row_on_it(long_file: Path, tmp_path: Path) -> None:
    copy = Path(shutil.copy(long_file, tmp_path))
    content = bytearray(copy.read_bytes())
    page = content.index(b"r-200printer") // 4096  # SQLite writes the texts of a row one after the other
    on_page = content[page * 4096 : (page + 1) * 4096]
    first = min(n for n in range(1, long + 1) if f"r-{n}printer".encode() in on_page)
    content[page * 4096 : page * 4096 + 100] = b"\xa5" * 100
    copy.write_bytes(content)
    assert (trouble_of(copy) or "").startswith(f"row {first}:")


def test_what_is_appended_during_a_check_is_no_trouble(ledger: Ledger) -> None:
    append(ledger, *[assumed(n) for n in range(5)])
    checking: Iterator[object] = verified(ledger)
    list(islice(checking, 3))
    append(ledger, assumed(5), a_read("r-1"))
    list(checking)
    assert first_trouble(ledger) is None


def test_a_checked_replay_is_the_replay(ledger: Ledger) -> None:
    append(ledger, a_read("r-1"), assumed(1), a_read("r-2", piece="11"))
    assert list(verified(ledger)) == list(ledger.rows())
