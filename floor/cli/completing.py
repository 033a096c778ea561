"""Names that a shell completes: jobs and pieces of the ledger, stations, badges and items of the shop file.

Never writes, never waits for a writer, and says nothing when it cannot read: somebody is in the midst of typing.
"""

from collections.abc import Callable, Iterable
from contextlib import suppress

import click

from floor.cli.opening import Folder, folder_of
from floor.ledger.streams import begun_with

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


def _streams(folder: Folder, kind: str, incomplete: str) -> list[str]:
    return begun_with(folder.database, kind, incomplete, NAMES_MAX)


job_codes = _completing(lambda folder, incomplete: _streams(folder, "job added", incomplete.upper()))
piece_codes = _completing(lambda folder, incomplete: _streams(folder, "piece opened", incomplete))
station_names = _completing(lambda folder, _: folder.shop.stations)
press_names = _completing(lambda folder, _: folder.shop.presses)
badge_names = _completing(lambda folder, _: folder.shop.badges)
item_names = _completing(lambda folder, _: folder.shop.file.items)
