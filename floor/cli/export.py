"""`export`: the events of the ledger as a file for other programs.

Never leaves half a file under the name that was asked for.
"""

import sqlite3
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from zoneinfo import ZoneInfo

import click
from rich.console import Console

from floor.cli import progress
from floor.cli.choices import OneOf
from floor.cli.opening import Folder, pass_folder
from floor.cli.period import SINCE, UNTIL, period
from floor.cli.progress import R
from floor.cli.trouble import NotDone, answers, say_json
from floor.cli.writing import whole_file
from floor.exports.epcis import epcis_document, epcis_events
from floor.exports.flat import csv_lines
from floor.exports.vocabulary import Names
from floor.exports.window import Window
from floor.exports.xes import xes_document
from floor.ledger import Ledger
from floor.ledger.row import Row
from shared.events.recorded import Recorded


class Source:
    """A ledger up to the row that is its last one now, with a bar that shows how much of it has been read."""

    def __init__(self, ledger: Ledger, console: Console | None) -> None:
        """Without a console nobody watches."""
        self._ledger = ledger
        self._console = console
        self.last = ledger.head()

    def rows(self) -> Iterator[Recorded]:
        """Its events."""
        return self._watched(self._ledger.rows(until=self.last))

    def stored(self) -> Iterator[Row]:
        """Its rows as they are stored."""
        return self._watched(self._ledger.stored(until=self.last))

    def row(self, seq: int) -> Row:
        """One row as it is stored."""
        return next(self._ledger.stored(seq - 1, seq))

    def _watched(self, rows: Iterable[R]) -> Iterator[R]:
        return progress.watched(rows, self.last, self._console)


def _csv(source: Source, window: Window, folder: Folder, _base: str | None) -> Iterator[bytes]:
    return csv_lines(source.rows(), zone_of(folder), window)


def _epcis(source: Source, window: Window, folder: Folder, base: str | None) -> Iterator[bytes]:
    names = Names(base) if base else Names.of_shop(folder.shop.name)
    events = epcis_events(source.stored(), source.row, names, zone_of(folder), window)
    return epcis_document(events, names, folder.clock.now())


def _xes(source: Source, window: Window, folder: Folder, _base: str | None) -> Iterator[bytes]:
    return xes_document(source.rows(), folder.shop, window)


FORMATS = {"csv": _csv, "epcis": _epcis, "xes": _xes}


def zone_of(folder: Folder) -> ZoneInfo:
    """The shop's zone."""
    return folder.shop.hours.zone


@click.command()
@click.argument("form", metavar="csv|epcis|xes", type=OneOf(FORMATS))
@click.option("-o", "--out", default="-", type=click.Path(allow_dash=True), help="The file; else standard output.")
@SINCE(help="Only what happened from then on: 2026-11-23 or 2026-11-23T08:00")
@UNTIL(help="Only what happened before then.")
@click.option("--base", metavar="URI", envvar="PIECEWALK_BASE", help="epcis: an address of yours, for names; keep it.")
@pass_folder
@answers
def export(
    folder: Folder, form: str, out: str, since: str | None, until: str | None, base: str | None, as_json: bool
) -> None:
    """The events of the ledger as a file for other programs.

    csv: a line for each row of the ledger. epcis: EPCIS 2.0 as JSON-LD, what happened to each piece. xes: IEEE 1849,
    a trace of each piece. What a bench delivers late belongs to when it happened: export a past period again then.
    """
    window = Window(*period(since, until, folder.shop))
    with folder.ledger() as ledger, whole_file(out) as file, _room_for_work():
        source = Source(ledger, _bar_for(out))
        file.writelines(FORMATS[form](source, window, folder, base))
    if out == "-":
        return
    if as_json:
        say_json({"file": out, "format": form, "rows": source.last})
    else:
        click.echo(f"The ledger up to row {source.last} is in {out}.", err=True)


def _bar_for(out: str) -> Console | None:
    """Where to draw a bar: where a person watches, and sees it apart from the file."""
    return None if out == "-" and sys.stdout.isatty() else progress.screen()


@contextmanager
def _room_for_work() -> Iterator[None]:
    """What an export keeps aside meanwhile is in a file of SQLite's own, where temporary files are kept."""
    try:
        yield
    except sqlite3.OperationalError as error:
        raise NotDone(
            f"The export had no room for its work ({error})", do="Free room for temporary files, or set SQLITE_TMPDIR."
        ) from None
