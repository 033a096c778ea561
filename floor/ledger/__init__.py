"""The ledger: an append-only record of all that happened on the floor, which all else is computed from.

Never changes or removes a row: a correction is a new one that names what it corrects.
"""

from floor.ledger.contract import Ledger, Lookup, Transaction
from floor.ledger.errors import (
    Broken,
    Busy,
    Damaged,
    LedgerError,
    Missing,
    NotEmpty,
    ReadTwice,
    Replaced,
    Stopped,
    TooNew,
    Unavailable,
)
from floor.ledger.memory import MemoryLedger
from floor.ledger.writer import Writer

__all__ = [
    "Broken",
    "Busy",
    "Damaged",
    "Ledger",
    "LedgerError",
    "Lookup",
    "MemoryLedger",
    "Missing",
    "NotEmpty",
    "ReadTwice",
    "Replaced",
    "Stopped",
    "TooNew",
    "Transaction",
    "Unavailable",
    "Writer",
    "make_ledger",
    "open_ledger",
]


def open_ledger(url: str) -> Ledger:
    """The ledger at a URL, upgraded if need be: "sqlite:////shop/ledger.db" or "postgresql://host/shop".

    A path in it is relative to the working folder. Raises Missing, Unavailable, TooNew, Damaged, and ValueError for
    an address that is neither.
    """
    return _ledger(url, make=False)


def make_ledger(url: str) -> Ledger:
    """As `open_ledger`, but where there is none an empty one is made: only for who means to begin a ledger."""
    return _ledger(url, make=True)


def _ledger(url: str, *, make: bool) -> Ledger:
    if "\0" in url:
        raise ValueError(f"database: got {url!r}, which holds a NUL; expected sqlite:///FILE")
    if url.startswith("sqlite:///") and url != "sqlite:///":
        from floor.ledger.sqlite import SqliteLedger  # a database is loaded by who opens one: that takes its time

        return SqliteLedger(url, make=make)
    if url.startswith("postgresql"):
        try:
            from floor.ledger.postgres import PostgresLedger
        except ImportError as error:
            raise Unavailable("the driver for PostgreSQL is missing: pip install 'piecewalk[postgres]'") from error
        return PostgresLedger(url, make=make)
    raise ValueError(f"database: got {url!r}, expected sqlite:///FILE or postgresql+psycopg://HOST/NAME")
