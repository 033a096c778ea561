"""`trace`: after a complaint, which pieces may have had the same fate.

Never changes anything.
"""

from typing import Any

import click
from msgspec import Struct

from floor.cli.choices import OneOf, no_such
from floor.cli.completing import piece_codes, press_names
from floor.cli.lot import MATERIALS
from floor.cli.opening import Folder, pass_folder, piece_of
from floor.cli.period import SINCE, UNTIL, period
from floor.cli.tables import out
from floor.cli.trace_tables import trace_text, traced_lines
from floor.cli.trouble import NotDone, answers, say_json
from floor.cli.writing import whole_file
from floor.core.folds.fold import fold_all
from floor.core.state.floor import Floor
from floor.core.trace.lots import lots_answer
from floor.core.trace.trace import presses_of, trace_lot, trace_piece, trace_press
from floor.ledger.check import verified
from shared.events.supplies import Material
from shared.files.near import did_you_mean
from shared.plain import plain
from shared.wording import spaced


class TraceWishes(Struct, frozen=True, kw_only=True):
    """What was asked of `trace`: one of piece, press and lot, and what goes with it."""

    code: str | None
    press: str | None
    lot: tuple[Material, str] | None
    since: str | None
    until: str | None
    pdf: str | None
    paper: str | None

    def check(self) -> None:
        """Raises UsageError for what does not go together."""
        if sum(each is not None for each in (self.code, self.press, self.lot)) != 1:
            raise click.UsageError("Trace what? Say a PIECE, --press NAME, or --lot MATERIAL LOT: one of them.")
        if self.press is None and (self.since or self.until):
            raise click.UsageError("--since and --until go with --press.")
        if self.code is None and self.pdf:
            raise click.UsageError("--pdf is the record of one piece: name the PIECE.")
        if self.pdf is None and self.paper:
            raise click.UsageError("--paper goes with --pdf.")


@click.command()
@click.argument("code", metavar="[PIECE]", required=False, shell_complete=piece_codes)
@click.option("--press", metavar="NAME", shell_complete=press_names, help="Every piece that was in this press.")
@click.option("--lot", type=(MATERIALS, str), metavar="MATERIAL LOT", help="Every piece made of this lot.")
@SINCE(help="With --press: from then on, 2026-11-25T14:30")
@UNTIL(help="With --press: before then.")
@click.option("--pdf", type=click.Path(allow_dash=True), help="The record of the piece's cure; - is standard output.")
@click.option("--paper", type=OneOf(["a4", "letter"]), help="Left out: the shop file's.")
@pass_folder
@answers
def trace(folder: Folder, /, as_json: bool, **asked: object) -> None:
    """How a PIECE was cured, and which others to look at.

    For a print that washed out. Every piece that shared a press, a shift or a lot with it is listed, with its dwell
    and its wet time, the most suspicious first.
    """
    wishes = TraceWishes(**asked)  # type: ignore[arg-type]  # click has checked them
    wishes.check()
    if wishes.code is not None:
        _piece(folder, wishes.code, wishes, as_json)
    else:
        _others(folder, wishes, as_json)


def _piece(folder: Folder, code: str, wishes: TraceWishes, as_json: bool) -> None:
    floor = _recorded(folder, code, wishes) if wishes.pdf else folder.floor()
    if wishes.pdf == "-":
        return
    answer = plain(trace_piece(floor, folder.shop, piece_of(floor, code)))
    if as_json:
        say_json({**answer, "pdf": wishes.pdf})
    else:
        out(trace_text(answer, folder.shop))


def _recorded(folder: Folder, code: str, wishes: TraceWishes) -> Floor:
    """Write the record of a cure; the floor that it was made of, of rows that were verified."""
    from floor.papers.cure_record import record_of, write_record

    shop, file = folder.shop, str(wishes.pdf)
    with folder.ledger() as ledger, whole_file(file) as pdf:
        floor = fold_all(verified(ledger))
        record = record_of(floor, shop, piece_of(floor, code), ledger, folder.clock.now())
        write_record(record, shop, wishes.paper or shop.file.quotation.paper, pdf)
    if file != "-":
        click.echo(f"The record of its cure is in {file}.", err=True)
    return floor


def _others(folder: Folder, wishes: TraceWishes, as_json: bool) -> None:
    floor = folder.floor()
    answer = _lot(folder, floor, *wishes.lot) if wishes.lot else _press(folder, floor, str(wishes.press), wishes)
    if as_json:
        say_json(answer)
    else:
        out(traced_lines(answer["pieces"], folder.shop))


def _lot(folder: Folder, floor: Floor, material: Material, lot: str) -> dict[str, Any]:
    trace = trace_lot(floor, folder.shop, material, lot)
    if not trace.in_use:
        opened = (each.lot for each in lots_answer(floor) if each.material == material)
        do = f"{did_you_mean(lot, opened)} See: piecewalk lot list".strip()
        raise NotDone(f"No {spaced(material)} lot {lot!r} was opened", found=lot, do=do)
    return plain(trace)


def _press(folder: Folder, floor: Floor, press: str, wishes: TraceWishes) -> dict[str, Any]:
    since, until = period(wishes.since, wishes.until, folder.shop)
    known = presses_of(floor, folder.shop)
    if press not in known:
        raise no_such("press", press, known, see=f"Presses here: {', '.join(known)}.")
    return plain(trace_press(floor, folder.shop, press, since, until))
