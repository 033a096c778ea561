"""`init` and `check`: a shop is made, and looked over.

Never overwrites anything.
"""

from collections.abc import Iterator, Mapping
from contextlib import closing, suppress
from pathlib import Path
from typing import NamedTuple

import click

from floor.cli import progress
from floor.cli.opening import Folder, pass_folder
from floor.cli.trouble import NotDone, answers, say_json
from floor.core.folds.invariants import Wrong, wrongs
from floor.core.orders.kept_routes import KeptRoute, OnTickets, kept_routes
from floor.core.orders.stranded import Stranded, stranded
from floor.doors.unusable import unusable
from floor.ledger import Damaged, Missing, make_ledger, open_ledger
from floor.ledger.anchor import Anchor, anchor_of, noted, parsed
from floor.ledger.check import verified
from floor.ledger.copying import opened_copy
from floor.ledger.row import Head
from floor.service.backups import newest_good
from shared.files.oddities import Oddity, oddities
from shared.files.problems import ProblemsFound
from shared.files.shop import Shop
from shared.files.shopfile import FILE_NAME
from shared.harmless import harmless


@click.command()
@click.argument("directory", type=click.Path(path_type=Path, file_okay=False))
@click.option("--empty-ledger", is_flag=True, help="Begin an empty ledger for the shop file that is there.")
@pass_folder
@answers
def init(here: Folder, directory: Path, empty_ledger: bool, as_json: bool) -> None:
    """Make a new shop in DIRECTORY: a commented shop file and an empty ledger."""
    file, folder = directory / FILE_NAME, Folder(directory, here.clock)
    if empty_ledger:
        _refuse_another(folder)
    else:
        _write_shop_file(file)
    with closing(make_ledger(folder.database)) as ledger:
        durability = ledger.durability
    if as_json:
        say_json({"shop": str(directory), "file": str(file), "ledger": folder.database, "durability": durability})
        return
    click.echo(f"A new shop is in {directory}. The ledger: {durability}.")
    click.echo(f"Next: write your items, prices and stations into {file}, then: piecewalk --shop {directory} check")


def _write_shop_file(file: Path) -> None:
    if file.exists():
        raise NotDone(
            f"There is a shop file in {file.parent} already", do="Nothing was changed. Choose another folder."
        )
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(Path(__file__).with_name("new_shop.toml").read_text(encoding="utf-8"), encoding="utf-8")


def _refuse_another(folder: Folder) -> None:
    """Raises NotDone where there is a ledger: two of them would give the same codes to different pieces."""
    with suppress(Missing), closing(open_ledger(folder.database)) as present:
        rows = present.head()
        raise NotDone(f"There is a ledger of {rows} rows in {folder.path} already", do="Nothing was changed.")


def _anchors(_context: click.Context, _parameter: click.Parameter, texts: tuple[str, ...]) -> list[Anchor]:
    try:
        return [*map(parsed, texts)]
    except ValueError as error:
        raise click.BadParameter(str(error)) from None


@click.command()
@click.option(
    "--anchor",
    "anchors",
    metavar="SEQ:HASH",
    multiple=True,
    callback=_anchors,
    help="A row that must be there, as it was noted elsewhere; repeat it.",
)
@pass_folder
@answers
def check(folder: Folder, anchors: list[Anchor], as_json: bool) -> None:
    """Check the shop file, and every row of the ledger: its hash, and whether it can be true beside the others."""
    shop = folder.shop
    if problems := [*unusable(shop)]:
        raise ProblemsFound(problems)
    with folder.ledger() as ledger:
        noted_in_reports: list[Anchor] = []
        rows = noted(verified(ledger), noted_in_reports)
        wrong = wrongs(progress.watched(rows, ledger.head(), progress.screen()))
        if trouble := ledger.trouble():
            raise Damaged(trouble)
        head, durability = ledger.noted_head(), ledger.durability
        backup = newest_good(folder.backups)
        anchors = [*anchors, *_anchor_of(backup)]
        for anchor in (*noted_in_reports, *anchors):
            anchor.check(ledger)
    if wrong:
        raise NotDone(_told(wrong), where="ledger", do=f"Nothing was lost. {folder.way_back()}")
    floor = folder.floor()
    kept = kept_routes(floor, shop)  # the floor also tells whether its amounts are in the shop's currency
    gone = [*stranded(floor, shop)]
    sound = Sound(shop, head, durability, backup, [*oddities(shop.file)], kept, gone, anchors)
    if as_json:
        say_json(sound.answer())
    else:
        for line in sound.lines():
            click.echo(harmless(line))


def _anchor_of(backup: Path | None) -> Iterator[Anchor]:
    if backup is not None:
        with opened_copy(backup) as ledger:
            yield anchor_of(ledger.noted_head(), f"the backup {backup.name}")


class Sound(NamedTuple):
    """A shop of which nothing is wrong, and what its owner should know all the same."""

    shop: Shop
    head: Head
    durability: str
    backup: Path | None
    odd: list[Oddity]
    kept: Mapping[KeptRoute, OnTickets]
    stranded: list[Stranded]
    anchors: list[Anchor]

    @property
    def anchored_rows(self) -> int:
        """Up to which row nobody can have changed the ledger without being seen."""
        return max((anchor.seq for anchor in self.anchors), default=0)

    def answer(self) -> dict[str, object]:
        """For a script."""
        return {
            "shop": self.shop.name,
            "rows": self.head.seq,
            "anchor": str(anchor_of(self.head)),
            "anchored_rows": self.anchored_rows,
            "durability": self.durability,
            "good": True,
            "newest_backup": str(self.backup) if self.backup else None,
            "unusual": [each._asdict() for each in self.odd],
            "kept_routes": [{**each._asdict(), **on._asdict()} for each, on in self.kept.items()],
            "stranded": [each._asdict() for each in self.stranded],
        }

    def lines(self) -> Iterator[str]:
        """For a person."""
        whole = f"all {self.head.seq} rows of the ledger are whole ({self.durability})"
        yield f"{self.shop.name}: the shop file is sound; {whole}."
        yield f"The newest good backup: {self.backup or 'none yet'}."
        yield self._shown()
        for odd in self.odd:
            yield f"Unusual: {FILE_NAME}: {odd.where}: {odd.found}; usual: {odd.usual}; {odd.meant}."
        for kept, on in self.kept.items():
            yield _kept_line(kept, on)
        for each in self.stranded:
            yield _stranded_line(each)

    def _shown(self) -> str:
        """What the check cannot show, and how the next one can."""
        if not self.head.seq:
            return "There are no rows yet that could be held against anything kept elsewhere."
        held = (
            f"{len(self.anchors)} kept elsewhere, rows up to {self.anchored_rows}"
            if self.anchors
            else "nothing kept elsewhere"
        )
        return (
            f"Held against {held}. Who can write the ledger can cut off or rewrite later ones unseen; "
            f"note this elsewhere: --anchor {anchor_of(self.head)}"
        )


def _kept_line(kept: KeptRoute, on: OnTickets) -> str:
    pieces = f"{len(on.pieces)} open {'piece' if len(on.pieces) == 1 else 'pieces'} of {', '.join(on.jobs)}"
    step, what, ticket, now = (said or "nothing" for said in kept)
    return f"A ticket keeps its route: {step}: {what}: {ticket} for {pieces}, {now} in the shop file."


def _stranded_line(piece: Stranded) -> str:
    gone = f"{piece.piece} of {piece.job} is in {piece.station}, where {piece.step} is no longer done"
    return f"{gone}: put the station back until the piece is scanned out, or do the step anew at another."


def _told(wrong: list[Wrong]) -> str:
    more = f" (and {len(wrong) - 1} more)" if len(wrong) > 1 else ""
    return f"{wrong[0].line()}{more}. Every hash fits: it was written so"
