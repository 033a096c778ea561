"""The ledger in an SQLite file."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy.exc import IntegrityError, OperationalError

from floor.ledger import Broken, Damaged, Unavailable, make_ledger, open_ledger
from floor.ledger.check import first_trouble
from floor.ledger.sqlite import Build, SqliteLedger, journal_for
from tests.floor.ledger.facts import a_read, append, assumed, noon

mended = (3, 51, 3)
unmended = (3, 40, 1)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Where the ledger is."""
    return tmp_path / "ledger.db"


@pytest.fixture
def ledger(file: Path) -> Iterator[SqliteLedger]:
    """A new ledger that does not wait long for others."""
    with closing(SqliteLedger(f"sqlite:///{file}", busy_timeout_s=0.05)) as opened:
        yield opened


@pytest.mark.parametrize(
    ("build", "mode"),
    [
        ((3, 40, 1), "delete"),
        ((3, 44, 5), "delete"),
        ((3, 44, 6), "wal"),
        ((3, 45, 0), "delete"),
        ((3, 50, 6), "delete"),
        ((3, 50, 7), "wal"),
        ((3, 51, 0), "delete"),
        ((3, 51, 2), "delete"),
        ((3, 51, 3), "wal"),
        ((4, 0, 0), "wal"),
    ],
)
def test_the_write_ahead_log_is_used_only_where_it_is_mended(build: Build, mode: str) -> None:
    journal = journal_for(build)
    assert (journal.mode, journal.synchronous) == (mode, {"wal": "FULL", "delete": "EXTRA"}[mode])
    assert ".".join(map(str, build)) in journal.why


@pytest.mark.parametrize(("build", "mode", "synchronous"), [(mended, "wal", 2), (unmended, "delete", 3)])
def test_the_writer_has_the_settings_that_it_says(file: Path, build: Build, mode: str, synchronous: int) -> None:
    with closing(SqliteLedger(f"sqlite:///{file}", build=build)) as ledger:
        append(ledger, assumed(0))
        with ledger._writing.connect() as connection:
            found = [
                connection.exec_driver_sql(f"PRAGMA {name}").scalar()
                for name in ("journal_mode", "synchronous", "foreign_keys")
            ]
        assert found == [mode, synchronous, 1]
        assert mode.upper() in ledger.durability
        assert "every commit is safe" in ledger.durability


def test_a_file_comes_back_from_the_write_ahead_log_on_an_older_build(file: Path) -> None:
    for build in (mended, unmended, mended):
        with closing(SqliteLedger(f"sqlite:///{file}", build=build)) as ledger:
            append(ledger, assumed(0))
            assert ledger.journal.mode == journal_for(build).mode
            assert first_trouble(ledger) is None


def test_an_older_build_does_not_write_beside_one_that_uses_the_write_ahead_log(file: Path) -> None:
    with closing(SqliteLedger(f"sqlite:///{file}", build=mended)) as newer:
        append(newer, assumed(0))
        with closing(SqliteLedger(f"sqlite:///{file}", busy_timeout_s=0.05, build=unmended)) as older:
            with pytest.raises(Unavailable, match="another program"):
                append(older, assumed(1))
            assert older.head() == 1


def test_a_reader_cannot_write(ledger: SqliteLedger) -> None:
    with ledger._reading.connect() as connection, pytest.raises(OperationalError, match="readonly"):
        connection.exec_driver_sql("DELETE FROM ledger_head")


def test_the_database_refuses_a_read_id_that_slipped_past_us(ledger: SqliteLedger, file: Path) -> None:
    append(ledger, a_read("r-1"))
    with closing(sqlite3.connect(file)) as connection, pytest.raises(sqlite3.IntegrityError, match="read_id"):
        connection.execute(
            "INSERT INTO ledger SELECT 2, 'x', 1, kind, 0, 0, read_id, '', '', '', '', 1, '' FROM ledger"
        )


def test_a_row_that_somebody_slipped_in_stops_the_next_commit(ledger: SqliteLedger, file: Path) -> None:
    append(ledger, a_read("r-1"))
    with closing(sqlite3.connect(file)) as connection, connection:
        connection.execute("INSERT INTO ledger SELECT 2, 'x', 1, kind, 0, 0, 'r-2', '', '', '', '', 1, '' FROM ledger")
    with pytest.raises(IntegrityError):
        append(ledger, assumed(1))
    assert (first_trouble(ledger) or "").startswith("row 2:")


def test_no_look_up_walks_through_the_ledger(ledger: SqliteLedger) -> None:
    append(ledger, *[assumed(n, piece=str(n % 3)) for n in range(100)])
    for query in (ledger.reads, ledger.last_versions):
        with ledger._reading.connect() as connection:
            sql = str(query.compile(connection))
            plan = [row[-1] for row in connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {sql}", ("[]",))]
        assert any("SEARCH ledger USING" in step for step in plan)
        assert not any("SCAN ledger" in step or "TEMP B-TREE" in step for step in plan)


def test_a_polite_wait_for_another_writer_ends(ledger: SqliteLedger, file: Path) -> None:
    with closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(Unavailable, match=r"locked.*another program"):
            append(ledger, assumed(0))
        assert ledger.head() == 0
        other.execute("ROLLBACK")
    assert append(ledger, assumed(0))[0].seq == 1


def test_a_reader_in_another_program_only_delays_the_commit(ledger: SqliteLedger, file: Path) -> None:
    append(ledger, assumed(0))
    with closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("BEGIN")
        other.execute("SELECT * FROM ledger").fetchall()
        with pytest.raises(Unavailable):
            append(ledger, assumed(1))
        other.execute("COMMIT")
    assert [row.seq for row in append(ledger, assumed(1))] == [2]


def test_a_folder_that_is_missing_is_named(tmp_path: Path) -> None:
    with pytest.raises(Unavailable, match=r"no/such/ledger\.db.*see that the folder exists"):
        make_ledger(f"sqlite:///{tmp_path}/no/such/ledger.db")


def test_a_statement_that_failed_unnoticed_cannot_pass_for_a_commit(ledger: SqliteLedger) -> None:
    """SQLite may roll back all of a transaction by itself when the disk is full."""

    def append_and_run_out_of_room() -> None:
        with ledger.transaction() as transaction:
            pages = transaction._connection.exec_driver_sql("PRAGMA page_count").scalar()
            transaction.append([a_read("r-1")], noon)
            list(transaction.rows())
            transaction._connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
            transaction.append([a_read(f"r-{n}") for n in range(2, 100)], noon)
            with pytest.raises(Unavailable, match="make room"):
                list(transaction.rows())
            transaction._connection.exec_driver_sql("PRAGMA max_page_count = 1000000")

    with pytest.raises(Unavailable, match="make room"):
        append_and_run_out_of_room()
    assert ledger.head() == 0
    assert append(ledger, a_read("r-1"))[0].seq == 1


def test_a_file_that_is_no_database_is_damaged(file: Path) -> None:
    file.write_bytes(b"dear diary, " * 1000)
    with pytest.raises(Damaged, match="restore the newest good backup"):
        open_ledger(f"sqlite:///{file}")


def _fail_to_sync(ledger: SqliteLedger) -> None:
    error = sqlite3.OperationalError("disk I/O error")
    error.sqlite_errorcode = sqlite3.SQLITE_IOERR_FSYNC
    with ledger.transaction():
        raise error


def test_after_a_failed_write_nothing_more_is_written_until_it_is_opened_anew(ledger: SqliteLedger, file: Path) -> None:
    append(ledger, assumed(0))
    with pytest.raises(Broken, match="check the disk"):
        _fail_to_sync(ledger)
    with pytest.raises(Broken, match="check the disk"):
        append(ledger, assumed(1))
    assert ledger.head() == 1
    with closing(SqliteLedger(f"sqlite:///{file}")) as again:
        assert append(again, assumed(1))[0].seq == 2


@pytest.mark.parametrize("url", ["ledger.db", "mysql://host/shop", ""])
def test_an_address_of_no_known_kind_is_refused(url: str) -> None:
    with pytest.raises(ValueError, match="expected sqlite:///FILE or postgresql"):
        open_ledger(url)
