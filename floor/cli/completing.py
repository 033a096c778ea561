"""Names that a shell completes: jobs and pieces of the ledger, stations, badges and items of the shop file.

Never writes, never waits for a writer, and says nothing when it cannot read: somebody is in the midst of typing.
"""

from collections.abc import Callable, Iterable
from contextlib import suppress

import click
from sqlalchemy import URL, create_engine, make_url, select
from sqlalchemy.pool import NullPool

from floor.cli.opening import Folder, folder_of
from floor.ledger.copying import file_of
from floor.ledger.tables import ledger

Complete = Callable[[click.Context, click.Parameter, str], list[str]]
NAMES_MAX = 500
"""More are no help to anybody who looks for one."""


def _completing(names: Callable[[Folder, str], Iterable[str]]) -> Complete:
    def complete(context: click.Context, _parameter: click.Parameter, incomplete: str) -> list[str]:
        with suppress(Exception):  # whatever it is: no name is completed
            begins = incomplete.casefold()
            return [name for name in names(folder_of(context), incomplete) if name.casefold().startswith(begins)]
        return []

    return complete


def _first_rows(kind: str) -> Callable[[Folder, str], list[str]]:
    """The streams that begin with an event of a kind, read in one statement of the ledger's index."""

    def names(folder: Folder, incomplete: str) -> list[str]:
        streams = (
            select(ledger.c.stream)
            .where(ledger.c.kind == kind, ledger.c.version == 1)
            .where(ledger.c.stream.startswith(incomplete, autoescape=True))
            .order_by(ledger.c.seq.desc())
            .limit(NAMES_MAX)
        )
        with create_engine(_read_only(folder.database), poolclass=NullPool).connect() as connection:
            return list(connection.scalars(streams))

    return names


def _read_only(database: str) -> URL:
    """The ledger's address; a file is opened for reading alone, and is not made where there is none."""
    url, file = make_url(database), file_of(database)
    if file is None:
        return url
    return url.set(database=file.resolve().as_uri(), query={"mode": "ro", "uri": "true", "timeout": "0"})


job_codes = _completing(lambda folder, incomplete: _first_rows("job added")(folder, incomplete.upper()))
piece_codes = _completing(_first_rows("piece opened"))
station_names = _completing(lambda folder, _: folder.shop.stations)
press_names = _completing(lambda folder, _: folder.shop.presses)
badge_names = _completing(lambda folder, _: folder.shop.badges)
item_names = _completing(lambda folder, _: folder.shop.file.items)
