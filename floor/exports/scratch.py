"""Room on the disk for what an export must keep aside, so that its memory does not grow with the ledger.

Never outlives the export, and never holds anything that is not in the ledger too.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager


@contextmanager
def scratch() -> Iterator[sqlite3.Connection]:
    """An empty database in a file that SQLite makes, hides and removes by itself.

    Nothing in it has to be safe. Where its file has no room, whoever fills it gets sqlite3.OperationalError.
    """
    with closing(sqlite3.connect("", isolation_level=None)) as database:
        database.execute("PRAGMA journal_mode = OFF")
        database.execute("PRAGMA synchronous = OFF")
        database.execute("BEGIN")
        yield database
