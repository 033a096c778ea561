"""A shop folder, opened by a command: its shop file, its ledger, its floor.

Never keeps a ledger open after the command.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from functools import wraps
from itertools import takewhile
from pathlib import Path
from shlex import quote
from typing import Concatenate, ParamSpec, TypeVar
from urllib.parse import quote as quoted

import click

from floor.cli.choices import no_such
from floor.cli.trouble import NotDone
from floor.core.folds.fold import fold_all
from floor.core.orders.currency import check_currency
from floor.core.state.floor import Floor
from floor.core.state.job import Job
from floor.core.state.piece import Piece
from floor.ledger import Damaged, Ledger, Missing, open_ledger
from floor.ledger.anchor import anchor_of
from floor.service.backups import newest_good
from floor.service.service import Service
from shared.clock import Clock, SystemClock
from shared.codes import BadCode, parse
from shared.events.recorded import Recorded
from shared.files.near import did_you_mean
from shared.files.shop import Shop, load_shop
from shared.files.shopfile import FILE_NAME

P = ParamSpec("P")
R = TypeVar("R")
RowsOf = Callable[[Ledger], Iterable[Recorded]]


class Folder:
    """A shop folder, and the clock by which it is worked in."""

    def __init__(self, path: Path, clock: Clock) -> None:
        self.path = path
        self.clock = clock
        self._shop: Shop | None = None

    @property
    def shop(self) -> Shop:
        """The shop; its file is read once. Raises ProblemsFound."""
        if self._shop is None:
            if not (self.path / FILE_NAME).exists():
                raise NotDone(
                    f"There is no shop file in {self.path}",
                    do="Make a shop with: piecewalk init DIR, then name it with --shop DIR or PIECEWALK_SHOP.",
                )
            self._shop = load_shop(self.path)
        return self._shop

    @property
    def database(self) -> str:
        """The ledger's URL, a file's path taken from the shop folder."""
        return self.url(self.shop.file.shop.database)

    def url(self, url: str) -> str:
        """A ledger's URL, a file's path taken from the shop folder, whatever letters that has in its name."""
        prefix = "sqlite:///"
        if url.startswith(prefix) and not url.startswith("sqlite:////"):
            return f"{prefix}{quoted(str(self.path.resolve()))}/{url.removeprefix(prefix)}"
        return url

    @contextmanager
    def ledger(self) -> Iterator[Ledger]:
        """The ledger, until the block ends; when it is found to be missing or damaged, the way back is told."""
        try:
            with closing(open_ledger(self.database)) as ledger:
                yield ledger
        except Missing as error:
            raise NotDone(f"The ledger is missing: {error}", where="ledger", do=self.way_to_it()) from error
        except Damaged as error:
            raise NotDone(str(error), where="ledger", do=self.way_back()) from error

    def anchor(self) -> str:
        """The ledger's last row, as a report bears it."""
        with self.ledger() as ledger:
            return str(anchor_of(ledger.noted_head()))

    @property
    def backups(self) -> Path:
        """Where the nightly backups are."""
        return self.path / self.shop.file.backups.folder

    def way_back(self) -> str:
        """The newest good backup, and how to restore it."""
        file = newest_good(self.backups)
        if file is None:
            return f"There is no good backup in {self.backups}; restore another with: piecewalk restore FILE"
        return f"The newest good backup is {file}. Stop the floor, then: {self.command} restore {quote(str(file))}"

    def way_to_it(self) -> str:
        """What may have become of a ledger that is missing, and how to get it back."""
        look = f"See that its disk is mounted, and that database in {FILE_NAME} is right"
        if newest_good(self.backups):
            return f"{look}. {self.way_back()}"
        return (
            f"{look}. There is no good backup in {self.backups}; restore another with: {self.command} restore FILE. "
            "Only a shop that never had a ledger gets an empty one, with: "
            f"piecewalk init {quote(str(self.path))} --empty-ledger"
        )

    @property
    def command(self) -> str:
        """What to type before a command for this shop."""
        return "piecewalk" if self.path == Path() else f"piecewalk --shop {quote(str(self.path))}"

    @contextmanager
    def service(self, *, verify: bool = False) -> Iterator[Service]:
        """The floor, to be written to; with `verify`, made of rows that were verified."""
        shop = self.shop
        with self.ledger() as ledger, Service(shop, ledger, self.clock, verify=verify) as service:
            yield service

    def floor(self, at: datetime | None = None, rows_of: RowsOf = lambda ledger: ledger.rows()) -> Floor:
        """The floor as it is, or as it was at a moment: the same fold, stopped early.

        `rows_of` hands out the rows of the ledger, and may show how far it is.
        """
        with self.ledger() as ledger:
            rows = rows_of(ledger)
            floor = fold_all(rows if at is None else takewhile(lambda row: row.recorded_at <= at, rows))
        check_currency(floor, self.shop.currency)
        return floor


def folder_of(context: click.Context) -> Folder:
    """The shop folder that was named before the command, or that a program brings, with a clock of its own."""
    return context.find_object(Folder) or Folder(context.find_root().params["folder"], SystemClock())


def pass_folder(command: Callable[Concatenate[Folder, P], R]) -> Callable[P, R]:
    """A command that gets the shop folder first."""

    @wraps(command)
    def wrapped(*args: P.args, **kwargs: P.kwargs) -> R:
        return command(folder_of(click.get_current_context()), *args, **kwargs)

    return wrapped


def moment(text: str | None, shop: Shop) -> datetime | None:
    """A moment that a person wrote, UTC: RFC 3339, or without an offset in the shop's zone; None for None.

    Raises NotDone.
    """
    if text is None:
        return None
    try:
        return shop.hours.moment(text)
    except ValueError:
        raise NotDone(
            f"{text!r} is not a moment", found=text, allowed="RFC 3339", do="Write: 2026-11-25T14:30, or with +01:00"
        ) from None


def past_moment(text: str | None, folder: Folder) -> datetime | None:
    """As `moment`, but not later than the clock. Raises NotDone."""
    at = moment(text, folder.shop)
    if at is not None and at > folder.clock.now():
        raise NotDone(
            f"{text} has not come yet", found=str(text), allowed="a past moment", do="Leave --at out for now."
        )
    return at


def past_or_now(text: str | None, folder: Folder) -> datetime:
    """As `past_moment`; now where nothing was said. Raises NotDone."""
    return past_moment(text, folder) or folder.clock.now()


def job_of(floor: Floor, code: str) -> Job:
    """A job by its code. Raises NotDone."""
    if code not in floor.jobs:
        raise no_such("job", code, floor.jobs, see="See: piecewalk job list")
    return floor.jobs[code]


def piece_of(floor: Floor, text: str) -> Piece:
    """A piece by its code as it was typed. Raises NotDone."""
    code = parse(text)
    if isinstance(code, BadCode):
        do = f"{did_you_mean(text, floor.pieces)} Type the digits beneath the bars of its ticket.".strip()
        raise NotDone(str(code).rstrip("."), found=text, do=do)
    piece = floor.pieces.get(code.text)
    if piece is None:
        raise no_such("piece", code.text, floor.pieces, see="See: piecewalk job show JOB")
    return piece
