"""`backup`, `restore`, `move`: the ledger is copied, and every copy verified.

Never deletes a ledger, and never edits the shop file.
"""

import sys
from collections.abc import Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from itertools import count
from pathlib import Path
from typing import NoReturn

import click

from floor.cli import progress
from floor.cli.opening import Folder, pass_folder
from floor.cli.trouble import NotDone, answers, say_json
from floor.ledger import Damaged, Ledger, LedgerError, NotEmpty, make_ledger
from floor.ledger.check import OnPage, verify
from floor.ledger.copying import copy, copy_to_file, file_of, holds_a_ledger, opened_copy
from floor.ledger.row import Head
from floor.service.lock import floor_lock
from shared.harmless import harmless

FILE = click.argument("file", type=click.Path(path_type=Path, dir_okay=False))


@click.command()
@FILE
@click.option("--force", is_flag=True, help="Replace the backup that FILE is.")
@pass_folder
@answers
def backup(folder: Folder, file: Path, force: bool, as_json: bool) -> None:
    """Copy the ledger to FILE, also while the floor runs. The copy is verified before it gets its name."""
    _refuse_to_replace(file, folder, force)
    with folder.ledger() as ledger, _disk(file), _copying(ledger) as on_page:
        head = copy_to_file(ledger, file, on_page)
    if as_json:
        say_json({"backup": str(file), "rows": head.seq, "hash": head.hash})
        return
    click.echo(f"{harmless(str(file))}: {head.seq} rows, verified. Their hash: {head.hash or 'none'}")


def _copying(source: Ledger) -> AbstractContextManager[OnPage]:
    """A bar: every row is copied, then verified."""
    return progress.bar("copying", source.head(), progress.screen(), passes=2)


def _refuse_to_replace(file: Path, folder: Folder, force: bool) -> None:
    if not file.exists():
        return
    ledger = file_of(folder.database)
    if ledger is not None and ledger.exists() and file.samefile(ledger):
        raise NotDone(f"{file} is the ledger itself", do="Name another file.")
    if not holds_a_ledger(file):
        raise NotDone(f"{file} is there, and is no backup of a ledger", do="Nothing was changed. Name another file.")
    if not force:
        do = "Nothing was changed. Name another file, or say --force to replace it."
        raise NotDone(f"{file} is a backup already", do=do)


@contextmanager
def _disk(file: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        do = "Nothing was changed. Name another file."
        raise NotDone(f"{file} cannot be written: {error.strerror}", do=do) from error


@click.command()
@FILE
@click.option("--yes", is_flag=True, help="Do not ask whether the present ledger may be put aside.")
@pass_folder
@answers
def restore(folder: Folder, file: Path, yes: bool, as_json: bool) -> None:
    """Make the backup FILE the shop's ledger. The one that was there is kept beside it, under a dated name."""
    with floor_lock(folder.path):
        place = file_of(folder.database)
        if place is None:
            head, aside = _restore_to_server(folder, file), None
        else:
            head, aside = _restore_to_file(folder, file, place, yes)
    if as_json:
        say_json({"rows": head.seq, "hash": head.hash, "kept": str(aside) if aside else None})
        return
    click.echo(f"The ledger is the backup {harmless(str(file))}: {head.seq} rows, verified.")
    if aside:
        click.echo(f"The one that was there is kept: {aside}")


def _restore_to_file(folder: Folder, file: Path, place: Path, yes: bool) -> tuple[Head, Path | None]:
    with _good_backup(file):
        pass  # before anybody is asked to decide, and before anything is touched
    if place.exists() and (what := _what_is_there(place)) and not yes:
        _ask(what, place)
    aside = _dated(place, folder) if place.exists() else None
    with opened_copy(file) as source, _disk(place), _copying(source) as on_page:
        return copy_to_file(source, place, on_page, aside), aside


def _restore_to_server(folder: Folder, file: Path) -> Head:
    with _good_backup(file), opened_copy(file) as source, closing(make_ledger(folder.database)) as target:
        try:
            with _copying(source) as on_page:
                return copy(source, target, on_page)
        except NotEmpty as error:
            do = "Make a new, empty database and write its address into the shop file. The old one stays as it is."
            raise NotDone(f"The ledger on the server was not touched: {error}", do=do) from error


@contextmanager
def _good_backup(file: Path) -> Iterator[None]:
    try:
        with (
            opened_copy(file) as source,
            progress.bar("verifying", source.head(), progress.screen()) as on_page,
        ):
            verify(source, on_page)
    except Damaged as error:
        raise NotDone(f"The backup is damaged: {error}", do="Nothing was changed. Try an older backup.") from error
    yield


def _what_is_there(place: Path) -> str | None:
    """The ledger that is in the way; None for one without rows."""
    try:
        with opened_copy(place) as present:
            rows = present.head()
    except LedgerError:
        return "a ledger that cannot be read"
    return f"a ledger of {rows} rows" if rows else None


def _ask(what: str, place: Path) -> None:
    if not sys.stdin.isatty():
        _leave(f"There is {what} in {place}, and nobody is there to confirm", "Say --yes to put it aside.")
    if not click.confirm(f"Put {what} aside, and the backup in its place?", err=True):
        _leave(f"There is {what} in {place}", "Nothing was changed.")


def _leave(why: str, do: str) -> NoReturn:
    raise NotDone(f"{why}; nothing was restored", do=do)


def _dated(place: Path, folder: Folder) -> Path:
    """A free name beside the ledger that tells when it was put aside, UTC."""
    stem = f"{place.stem}-until-{folder.clock.now():%Y-%m-%dT%H%M%SZ}"
    names = (place.with_name(f"{stem}{f'-{n}' if n else ''}{place.suffix}") for n in count())
    return next(name for name in names if not name.exists())


@click.command()
@click.option("--to", "url", metavar="URL", required=True, help="postgresql+psycopg://HOST/NAME or sqlite:///FILE")
@pass_folder
@answers
def move(folder: Folder, url: str, as_json: bool) -> None:
    """Copy the ledger to another, empty database, verified there. The shop file and the old ledger stay as they are."""
    with (
        floor_lock(folder.path),
        folder.ledger() as source,
        closing(make_ledger(folder.url(url))) as target,
        _copying(source) as on_page,
    ):
        head = copy(source, target, on_page)
    line = f'database = "{url}"'
    if as_json:
        say_json({"rows": head.seq, "hash": head.hash, "line": line})
        return
    click.echo(f"{head.seq} rows are there, verified. Their hash: {head.hash or 'none'}")
    click.echo("Next: in the shop file, under [shop], write this, and start the floor:")
    click.echo(line)
