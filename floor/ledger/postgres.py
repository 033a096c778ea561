"""The ledger on a PostgreSQL server: for several machines, or several shops on one server.

Never leaves a hole in the numbers: an advisory lock is held from the first look at the head to the commit.
"""

import time
from collections.abc import Sequence

import psycopg
from sqlalchemy import (
    ARRAY,
    Connection,
    TableValuedAlias,
    Text,
    bindparam,
    create_engine,
    event,
    func,
    select,
    text,
)
from sqlalchemy.engine import make_url
from sqlalchemy.pool import ConnectionPoolEntry

from floor.ledger.errors import Damaged, LedgerError, Unavailable
from floor.ledger.row import Row
from floor.ledger.sql import SqlLedger

lock_key = 0x7069656365  # "piece" in ASCII: any number that no other program on the database uses
channel = "piecewalk_ledger"
idle_holder_s = 60
"""A process that was frozen, or a machine that lost its network, loses the lock after so long."""

_copy_in = f"COPY ledger ({', '.join(Row._fields)}) FROM STDIN"
_patience: dict[str, str | int] = {
    "client_encoding": "utf8",
    "connect_timeout": 10,
    # notice within half a minute that the server's machine is gone, instead of in a quarter of an hour
    "keepalives_idle": 10,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "tcp_user_timeout": 20_000,
}


class PostgresLedger(SqlLedger):
    """A `Ledger` on a server. `url` is as SQLAlchemy takes it, "postgresql+psycopg://user@host/shop".

    Another process that holds the lock is waited for `lock_timeout_s`, then the ledger is Unavailable.
    """

    driver_errors = (*SqlLedger.driver_errors, psycopg.Error)

    def __init__(self, url: str, lock_timeout_s: float = 5, *, make: bool = True) -> None:
        engine = create_engine(
            make_url(url).set(drivername="postgresql+psycopg"),
            connect_args=_patience,
            # each statement must see what was committed before it, the lock's holder above all
            isolation_level="READ COMMITTED",
            pool_pre_ping=True,
        )
        super().__init__(engine, engine.execution_options(isolation_level="AUTOCOMMIT"))
        self._lock_timeout_ms = round(lock_timeout_s * 1000)
        event.listen(engine, "connect", self._prepare)
        self._open(make=make)

    @property
    def durability(self) -> str:
        with self.translated(), self._reading.connect() as connection:
            fsync = connection.scalar(text("SHOW fsync"))
        warning = "" if fsync == "on" else "; but the server runs with fsync off: a power cut can lose scans"
        return f"PostgreSQL, synchronous_commit on{warning}"

    def wait_for_news(self, after: int, timeout_s: float) -> int:
        give_up_at = time.monotonic() + timeout_s
        with self.translated(), self._reading.connect() as connection:
            connection.exec_driver_sql(f"LISTEN {channel}")  # before the first look, so that nothing falls between
            calls = _driver(connection)
            while (head := self.head()) <= after and (left_s := give_up_at - time.monotonic()) > 0:
                list(calls.notifies(timeout=left_s, stop_after=1))
            connection.exec_driver_sql(f"UNLISTEN {channel}")
            return head

    def _check_new(self, connection: Connection) -> None:
        encoding = connection.scalar(text("SHOW server_encoding"))
        if encoding != "UTF8":
            raise Unavailable(f"{self.where}: it is encoded in {encoding}; create a database with ENCODING 'UTF8'")

    def _prepare(self, connection: psycopg.Connection, _entry: ConnectionPoolEntry) -> None:
        connection.execute("SET synchronous_commit = on")
        connection.execute(f"SET lock_timeout = {self._lock_timeout_ms}")
        connection.execute(f"SET idle_in_transaction_session_timeout = {idle_holder_s * 1000}")
        connection.commit()

    def _texts(self, name: str) -> TableValuedAlias:
        return func.unnest(bindparam(name, type_=ARRAY(Text))).table_valued("value").render_derived()

    def _lock(self, connection: Connection) -> None:
        connection.execute(select(func.pg_advisory_xact_lock(lock_key)))

    def insert(self, connection: Connection, rows: Sequence[Row]) -> None:
        # COPY takes a batch several times as fast as INSERT
        with _driver(connection).cursor() as cursor, cursor.copy(_copy_in) as copy:
            for row in rows:
                copy.write_row(row)

    def _announce(self, connection: Connection) -> None:
        connection.execute(select(func.pg_notify(channel, "")))

    def _explain(self, error: BaseException) -> LedgerError | None:
        text = f"{self.where}: {' '.join(str(error).split())}"
        match error:
            case psycopg.errors.ReadOnlySqlTransaction():
                return Unavailable(f"{text}; the server is a copy, or recovering: try again, or name the main one")
            case (
                psycopg.errors.DataCorrupted()
                | psycopg.errors.IndexCorrupted()
                | psycopg.errors.UndefinedTable()
                | psycopg.errors.UndefinedColumn()
            ):
                return Damaged(f"{text}; restore the newest good backup")
            case psycopg.OperationalError() | psycopg.InterfaceError():
                return Unavailable(f"{text}; try again")
            case psycopg.errors.IdleInTransactionSessionTimeout():
                return Unavailable(f"{text}; this process stood still for too long, try again")
        return None


def _driver(connection: Connection) -> psycopg.Connection:
    driver = connection.connection.driver_connection
    assert isinstance(driver, psycopg.Connection)
    return driver
