"""The names of streams, for a shell that completes one while somebody is typing.

Never opens a ledger as the floor does: it upgrades nothing, makes nothing, locks nothing, and waits for no writer.
"""

import re
import sqlite3
from contextlib import closing
from pathlib import Path

from floor.ledger.copying import file_of

_BEGUN = """
SELECT stream FROM ledger WHERE kind = :kind AND version = 1 AND stream LIKE :begins ESCAPE '/'
ORDER BY seq DESC LIMIT :most
"""
"""One statement, as both SQLite and PostgreSQL read it."""


def begun_with(url: str, kind: str, begins: str, most: int) -> list[str]:
    """The streams that begin with an event of a kind, their names with some letters: the latest first, so `most`.

    Raises what the database's driver raises: sqlite3.Error, sqlalchemy.exc.SQLAlchemyError.
    """
    wanted: dict[str, str | int] = {"kind": kind, "begins": re.sub("([/%_])", r"/\1", begins) + "%", "most": most}
    file = file_of(url)
    return _on_a_server(url, wanted) if file is None else _in_a_file(file, wanted)


def _in_a_file(file: Path, wanted: dict[str, str | int]) -> list[str]:
    """Without SQLAlchemy, which takes longer to load than anybody waits for a name."""
    with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True, timeout=0)) as connection:
        return [stream for (stream,) in connection.execute(_BEGUN, wanted)]


def _on_a_server(url: str, wanted: dict[str, str | int]) -> list[str]:
    from sqlalchemy import create_engine, text
    from sqlalchemy.pool import NullPool

    with create_engine(url, poolclass=NullPool).connect() as connection:
        return list(connection.scalars(text(_BEGUN), wanted))
