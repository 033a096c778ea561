"""The ledger on a PostgreSQL server."""

import subprocess
import threading
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from typing import Any

import psycopg
import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from floor.ledger import Unavailable, Writer, make_ledger, open_ledger
from floor.ledger.check import first_trouble
from floor.ledger.postgres import PostgresLedger, lock_key
from tests.floor.ledger.facts import Tally, a_read, append, assumed, noon, once
from tests.measured import WAIT_S

pytestmark = pytest.mark.postgres

RESTARTS_MAX = 10
"""Two are tried; more only where a quick server was up again before anybody missed it."""


@pytest.fixture
def ledger(postgres_url: str) -> Iterator[PostgresLedger]:
    """A new ledger that does not wait long for others."""
    with closing(PostgresLedger(postgres_url, lock_timeout_s=0.05)) as opened:
        yield opened


@pytest.fixture
def admin(postgres_server: Any) -> Iterator[psycopg.Connection]:
    """Somebody who may do anything on the server."""
    with psycopg.connect(postgres_server.get_uri(), autocommit=True) as connection:
        yield connection


def pg_ctl(server: Any, *words: str) -> None:
    """Do something to a server, and wait until it is done."""
    command = [server.bin_path / "pg_ctl", "-w", "-D", server.pgdata, *words]
    subprocess.run(command, user=server.system_user, check=True, stdout=subprocess.DEVNULL)


def restart(server: Any, how: str) -> None:
    """Restart the server: "fast" ends every session, "immediate" is as good as a power cut."""
    pg_ctl(server, "-m", how, "-l", str(server.log), "restart")
    server.ensure_postgres_running()  # takes note of the new process, or it would not be stopped in the end


@contextmanager
def in_recovery(server: Any) -> Iterator[None]:
    """The server is a copy that waits for its main one, as after a failure; in the end it is made the main one."""
    (server.pgdata / "standby.signal").touch()
    restart(server, "fast")
    try:
        yield
    finally:
        pg_ctl(server, "promote")


def end_sessions(admin: psycopg.Connection) -> None:
    """End all sessions but the administrator's own, as a server does that is shut down."""
    admin.execute(
        "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity"
        " WHERE backend_type = 'client backend' AND pid <> pg_backend_pid()"
    )


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("synchronous_commit", "on"),
        ("transaction_isolation", "read committed"),
        ("lock_timeout", "50ms"),
        ("idle_in_transaction_session_timeout", "1min"),
        ("client_encoding", "UTF8"),
    ],
)
def test_the_settings_hold_whatever_the_server_prefers(
    postgres_url: str, admin: psycopg.Connection, name: str, value: str
) -> None:
    prefers = ["synchronous_commit = off", "default_transaction_isolation = 'serializable'", "lock_timeout = 0"]
    for setting in prefers:
        admin.execute(f"ALTER ROLE postgres SET {setting}".encode())
    try:
        with closing(PostgresLedger(postgres_url, lock_timeout_s=0.05)) as ledger:
            append(ledger, assumed(0))
            with ledger._writing.connect() as connection:
                assert connection.scalar(text(f"SHOW {name}")) == value
    finally:
        admin.execute("ALTER ROLE postgres RESET ALL")


def test_it_says_so_when_the_server_does_not_sync(ledger: PostgresLedger, admin: psycopg.Connection) -> None:
    assert "fsync" not in ledger.durability
    admin.execute("ALTER SYSTEM SET fsync = off")
    try:
        admin.execute("SELECT pg_reload_conf()")
        with closing(open_ledger(str(ledger._writing.url.render_as_string(False)))) as other:
            tries = range(10_000)  # the server reads its settings in its own time
            assert any("fsync off" in other.durability for _ in tries)
    finally:
        admin.execute("ALTER SYSTEM RESET fsync")
        admin.execute("SELECT pg_reload_conf()")


def test_a_database_in_another_encoding_is_refused(postgres_server: Any, admin: psycopg.Connection) -> None:
    admin.execute("CREATE DATABASE old ENCODING 'SQL_ASCII' LOCALE 'C' TEMPLATE template0")
    with pytest.raises(Unavailable, match="create a database with ENCODING 'UTF8'"):
        make_ledger(postgres_server.get_uri(database="old", driver="psycopg"))


def test_a_server_that_is_not_there_is_named(tmp_path: Any) -> None:
    with pytest.raises(Unavailable, match=r"postgresql.*try again") as error:
        open_ledger(f"postgresql+psycopg://someone:secret@/shop?host={tmp_path}")
    assert "secret" not in str(error.value)


def test_a_polite_wait_for_another_writer_ends(ledger: PostgresLedger, admin: psycopg.Connection) -> None:
    with admin.transaction():
        admin.execute("SELECT pg_advisory_xact_lock(%s)", [lock_key])
        with pytest.raises(Unavailable, match="lock timeout"):
            append(ledger, assumed(0))
        assert ledger.head() == 0
    assert append(ledger, assumed(0))[0].seq == 1


def test_connections_that_went_stale_while_it_was_quiet_do_no_harm(
    ledger: PostgresLedger, admin: psycopg.Connection
) -> None:
    append(ledger, assumed(0))
    end_sessions(admin)
    assert append(ledger, assumed(1))[0].seq == 2
    end_sessions(admin)
    assert ledger.head() == 2


def test_a_connection_that_is_lost_in_a_transaction_leaves_nothing(
    ledger: PostgresLedger, admin: psycopg.Connection
) -> None:
    def append_and_lose() -> None:
        with ledger.transaction() as transaction:
            transaction.append([a_read("r-1")], noon)
            list(transaction.rows())
            end_sessions(admin)

    with pytest.raises(Unavailable):
        append_and_lose()
    assert ledger.head() == 0
    assert append(ledger, a_read("r-1"))[0].seq == 1
    assert first_trouble(ledger) is None


def test_a_statement_that_failed_unnoticed_cannot_pass_for_a_commit(ledger: PostgresLedger) -> None:
    """PostgreSQL answers the commit of such a transaction with a rollback, and no error."""

    def append_and_stumble() -> None:
        with ledger.transaction() as transaction:
            transaction.append([a_read("r-1")], noon)
            list(transaction.rows())
            with pytest.raises(DBAPIError):
                transaction._connection.execute(text("SELECT 1 / 0"))

    with pytest.raises(DBAPIError, match="aborted"):
        append_and_stumble()
    assert ledger.head() == 0


def test_waiting_for_news_from_a_lost_server_ends_with_an_error(
    ledger: PostgresLedger, admin: psycopg.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    head = ledger.head

    def head_and_then_lost() -> int:
        found = head()
        end_sessions(admin)
        return found

    monkeypatch.setattr(ledger, "head", head_and_then_lost)
    with pytest.raises(Unavailable):
        ledger.wait_for_news(after=0, timeout_s=WAIT_S)


@pytest.mark.fault
def test_a_server_in_recovery_is_read_but_not_written_to_until_it_is_the_main_one(
    ledger: PostgresLedger, postgres_url: str, postgres_server: Any
) -> None:
    append(ledger, a_read("r-1"))
    with in_recovery(postgres_server):
        uses: list[Callable[[], object]] = [
            lambda: append(ledger, a_read("r-2")),
            ledger.rehearse,
            lambda: ledger.wait_for_news(1, WAIT_S),
        ]
        for use in uses:
            with pytest.raises(Unavailable, match=r"the server is a copy, or recovering: try again[^\n]*$"):
                use()
        with closing(open_ledger(postgres_url)) as looked_at:
            assert [row.read_id for row in looked_at.rows()] == ["r-1"]
    append(ledger, a_read("r-2"))
    assert [row.read_id for row in ledger.rows()] == ["r-1", "r-2"]
    assert first_trouble(ledger) is None


class Bench(threading.Thread):
    """A scanner that sends one read after the other, and each again until it is answered."""

    def __init__(self, number: int, writer: Writer) -> None:
        super().__init__()
        self.number = number
        self.writer = writer
        self.acked: list[str] = []
        self.unavailable = 0
        self.going_home = threading.Event()

    def run(self) -> None:
        while not self.going_home.is_set():
            read_id = f"r-{self.number}-{len(self.acked)}"
            while isinstance(self.writer.submit(once(read_id)).exception(WAIT_S), Unavailable):
                self.unavailable += 1
            self.acked.append(read_id)


@pytest.mark.fault
@pytest.mark.parametrize("how", ["fast", "immediate"])
def test_a_restart_under_load_loses_nothing(ledger: PostgresLedger, postgres_server: Any, how: str) -> None:
    tally = Tally(ledger)
    with Writer(ledger, tally.fold, tally.rebuild, lambda: noon) as writer:
        benches = [Bench(number, writer) for number in range(3)]
        for bench in benches:
            bench.start()
        for times in range(RESTARTS_MAX):
            restart(postgres_server, how)
            ledger.wait_for_news(ledger.head(), WAIT_S)
            if times and any(bench.unavailable for bench in benches):
                break
        for bench in benches:
            bench.going_home.set()
            bench.join(WAIT_S)
    stored = [row.read_id for row in ledger.rows()]
    assert sum(bench.unavailable for bench in benches) > 0, "the server was never missed"
    assert sorted(stored, key=str) == sorted(read_id for bench in benches for read_id in bench.acked)
    assert tally.reads == stored
    assert first_trouble(ledger) is None
