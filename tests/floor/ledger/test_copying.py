"""A ledger that is copied is the same ledger, and half a copy is none."""

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import make_url

from floor.ledger import Damaged, Ledger, MemoryLedger, NotEmpty, Unavailable
from floor.ledger.check import first_trouble, page_rows
from floor.ledger.copying import BESIDE, copy, copy_to_file, file_of, opened_copy
from floor.ledger.row import Head
from floor.ledger.sqlite import SqliteLedger
from tests.floor.ledger import children
from tests.floor.ledger.facts import a_read, append, assumed, noon
from tests.measured import WAIT_S

Open = Callable[[str], Ledger]


def filled(ledger: Ledger, rows: int = 9, first: int = 1) -> Ledger:
    append(ledger, *[a_read(f"r-{n}", piece=str(10 + n % 3)) for n in range(first, first + rows)])
    return ledger


def names_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Where the backup goes."""
    return tmp_path / "backup.db"


def test_a_copy_has_the_same_rows_and_the_same_hashes(ledger: Ledger, file: Path) -> None:
    head = copy_to_file(filled(ledger), file)
    with opened_copy(file) as copied:
        assert list(copied.stored()) == list(ledger.stored())
        assert copied.noted_head() == ledger.noted_head() == head


def test_a_copy_can_be_appended_to_like_the_ledger_it_was_made_of(ledger: Ledger) -> None:
    copy(filled(ledger), other := MemoryLedger())
    assert append(other, assumed(0, piece="10"))[0].seq == 10
    assert first_trouble(other) is None


def test_a_ledger_without_rows_is_copied_too(ledger: Ledger, file: Path) -> None:
    assert copy_to_file(ledger, file) == Head()
    with opened_copy(file) as copied:
        assert copied.head() == 0


@pytest.mark.postgres
def test_a_ledger_that_moves_to_a_server_and_back_is_the_same(opened: Open, tmp_path: Path, postgres_url: str) -> None:
    here = filled(opened(f"sqlite:///{tmp_path}/ledger.db"), rows=2 * page_rows + 7)
    copy(here, there := opened(postgres_url))
    assert list(there.stored()) == list(here.stored())
    copy(there, back := opened(f"sqlite:///{tmp_path}/back.db"))
    assert list(back.stored()) == list(here.stored())
    assert back.noted_head() == here.noted_head()


def test_what_is_appended_while_it_is_copied_is_left_to_the_next_copy(ledger: Ledger, file: Path) -> None:
    filled(ledger, rows=2 * page_rows)

    def meanwhile(seq: int) -> None:
        filled(ledger, rows=3, first=10_000 + ledger.head() + seq)

    head = copy_to_file(ledger, file, meanwhile)
    assert head.seq == 2 * page_rows < ledger.head()
    with opened_copy(file) as copied:
        assert copied.noted_head() == head
        assert list(copied.stored()) == list(ledger.stored(until=head.seq))


@pytest.mark.fault
def test_a_writer_at_full_speed_neither_disturbs_a_copy_nor_is_held_up(url: str, opened: Open, file: Path) -> None:
    writer = children.start(children.append_many, url, "a", 300)
    writer.listen(until=lambda: len(writer.acked) >= 20)
    heads = [copy_to_file(opened(url), file).seq for _ in range(5)]
    writer.listen()
    assert len(writer.acked) == 300
    assert heads == sorted(heads)
    assert heads[0] >= 20
    with opened_copy(file) as copied:
        assert first_trouble(copied) is None


def test_nothing_is_copied_into_a_ledger_that_has_rows(ledger: Ledger) -> None:
    other = filled(MemoryLedger())
    with pytest.raises(NotEmpty, match="9 rows in it already"):
        copy(other, filled(ledger, rows=9))
    assert ledger.head() == 9


@pytest.mark.parametrize(
    ("tampering", "says"),
    [
        ("UPDATE ledger SET badge = 'B' WHERE seq = 5", "row 5: it was changed"),
        ("DELETE FROM ledger WHERE seq = 4", "row 4: it is missing"),
        ("DELETE FROM ledger WHERE seq > 6", "row 7: it and all up to row 9 are missing"),
        ("UPDATE ledger_head SET hash = 'x'", "row 9: it is not the row that was written last"),
    ],
)
def test_of_a_damaged_ledger_no_copy_is_made(tampering: str, says: str, tmp_path: Path, file: Path) -> None:
    source = tmp_path / "ledger.db"
    with closing(SqliteLedger(f"sqlite:///{source}")) as ledger:
        filled(ledger)
    with closing(sqlite3.connect(source)) as connection, connection:
        connection.execute(tampering)
    target = MemoryLedger()
    with closing(SqliteLedger(f"sqlite:///{source}")) as ledger:
        with pytest.raises(Damaged, match=says):
            copy(ledger, target)
        with pytest.raises(Damaged, match=says):
            copy_to_file(ledger, file)
    assert target.head() == 0
    assert names_in(tmp_path) == ["ledger.db"]


def test_a_row_of_another_chain_is_not_adopted(ledger: Ledger) -> None:
    rows = list(filled(MemoryLedger()).stored())
    with ledger.transaction() as transaction:
        transaction.adopt(rows[:3])
        with pytest.raises(Damaged, match="row 4"):
            transaction.adopt(rows[4:])
        assert transaction.adopt(rows[3:6]).seq == 6
        transaction.append([assumed(1, piece="10")], noon)
    assert ledger.head() == 7
    assert first_trouble(ledger) is None


def test_a_read_that_was_adopted_is_known(ledger: Ledger) -> None:
    with ledger.transaction() as transaction:
        assert transaction.by_read_id("r-1") is None
        transaction.adopt(list(filled(MemoryLedger()).stored()))
        assert transaction.by_read_id("r-1") is not None


def test_a_new_backup_takes_the_place_of_the_old_one_and_leaves_nothing_beside_it(ledger: Ledger, file: Path) -> None:
    copy_to_file(filled(ledger), file)
    copy_to_file(filled(ledger, first=20), file)
    with opened_copy(file) as copied:
        assert copied.head() == 18
    assert [name for name in names_in(file.parent) if name.startswith((".", "backup"))] == ["backup.db"]


@pytest.mark.fault
@pytest.mark.parametrize("after_pages", [1, 2, 3, 4])
def test_killed_in_the_middle_of_a_backup_the_old_one_is_still_there_and_good(
    after_pages: int, tmp_path: Path, file: Path
) -> None:
    url = f"sqlite:///{tmp_path}/ledger.db"
    with closing(SqliteLedger(url)) as ledger:
        copy_to_file(filled(ledger), file)
        filled(ledger, rows=2 * page_rows, first=100)
    old = file.read_bytes()
    child = children.start(children.die_while_copying, url, str(file), after_pages)
    child.listen()
    child.process.join(WAIT_S)
    assert child.said == ["page"] * after_pages
    assert file.read_bytes() == old
    with closing(SqliteLedger(url)) as ledger:
        assert copy_to_file(ledger, file).seq == 9 + 2 * page_rows


def test_what_a_killed_copy_left_is_cleared_away_a_day_later(tmp_path: Path, file: Path) -> None:
    old, new = tmp_path / ".piecewalk-part-old", tmp_path / ".piecewalk-part-new"
    for room in (old, new):
        room.mkdir()
        (room / "backup.db").write_bytes(b"half")
    yesterday_s = new.stat().st_mtime - 90_000
    os.utime(old, (yesterday_s, yesterday_s))
    copy_to_file(filled(MemoryLedger()), file)
    assert names_in(tmp_path) == [".piecewalk-part-new", "backup.db"]


def test_what_was_there_is_kept_with_all_that_sqlite_keeps_beside_it(tmp_path: Path) -> None:
    file, aside = tmp_path / "ledger.db", tmp_path / "old.db"
    file.write_bytes(b"what was there")
    for end in BESIDE:
        (tmp_path / f"ledger.db{end}").write_bytes(end.encode())
    copy_to_file(filled(MemoryLedger()), file, aside=aside)
    assert aside.read_bytes() == b"what was there"
    assert names_in(tmp_path) == sorted(["ledger.db", "old.db", *(f"old.db{end}" for end in BESIDE)])
    with opened_copy(file) as copied:
        assert copied.head() == 9


def test_what_is_kept_never_takes_the_place_of_another(tmp_path: Path) -> None:
    file, aside = tmp_path / "ledger.db", tmp_path / "old.db"
    file.write_bytes(b"what was there")
    aside.write_bytes(b"kept before")
    with pytest.raises(FileExistsError):
        copy_to_file(filled(MemoryLedger()), file, aside=aside)
    assert (file.read_bytes(), aside.read_bytes()) == (b"what was there", b"kept before")


@pytest.mark.parametrize("content", [b"", b"dear diary, " * 1000])
def test_a_file_that_is_no_ledger_is_not_made_one(content: bytes, file: Path) -> None:
    file.write_bytes(content)
    with pytest.raises(Damaged, match="this is no ledger"), opened_copy(file):
        pass
    assert file.read_bytes() == content


def test_a_database_of_something_else_is_left_alone(file: Path) -> None:
    with closing(sqlite3.connect(file)) as connection, connection:
        connection.execute("CREATE TABLE diary (day TEXT)")
    before = file.read_bytes()
    with pytest.raises(Damaged, match="this is no ledger"), opened_copy(file):
        pass
    assert file.read_bytes() == before


def test_a_file_that_is_not_there_is_not_made(file: Path) -> None:
    with pytest.raises(Unavailable, match="there is no such file"), opened_copy(file):
        pass
    assert not file.exists()


def test_a_ledger_on_a_server_has_no_file() -> None:
    assert file_of("postgresql+psycopg://host/shop") is None
    assert file_of("sqlite:////shop/ledger.db") == Path("/shop/ledger.db")
    assert file_of("sqlite:///") is None


@pytest.mark.parametrize("address", ["/shop/ledger.db", "ledger.db", "/a shop/100%25 ours.db", "/shop/l.db?timeout=1"])
def test_the_file_of_an_address_is_that_which_sqlalchemy_opens(address: str) -> None:
    url = f"sqlite:///{address}"
    assert file_of(url) == Path(make_url(url).database or "")
