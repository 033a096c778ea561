"""`ink read`, `import`, `refill`, `level`, `calibrate`: what becomes of the ink, as it is told.

Never changes what was recorded: what was told wrongly is told again.
"""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from functools import partial

import click
from msgspec.structs import asdict

from floor.cli import progress
from floor.cli.choices import OneOf
from floor.cli.completing import piece_codes
from floor.cli.ink_tables import calibration_text, tanks_text
from floor.cli.opening import Folder, pass_folder, past_or_now, piece_of
from floor.cli.reading import text_of
from floor.cli.tables import out
from floor.cli.trouble import answers, say_json
from floor.core.ink.calibration import Calibration, accepted, calibrations
from floor.core.ink.imported import Imported, read_import
from floor.core.ink.readings import InkReading, facts_of, wrongs
from floor.core.ink.tanks import level, refill, tanks
from floor.core.state.floor import Floor
from shared.events.recorded import Fact
from shared.files.problems import Problem, ProblemsFound
from shared.files.tomltext import shown_or_nothing
from shared.money import typed_amount
from shared.route import INKS, InkName


def _ml(_context: click.Context, _parameter: click.Parameter, text: str | None) -> Decimal | None:
    """Millilitres, with a point or a comma. How many are too many is for the core to say."""
    ml = None if text is None else typed_amount(text)
    if text is not None and ml is None:
        raise click.BadParameter(f"{text!r} is not a number of millilitres, such as 2.35")
    return ml


ML = partial(click.option, callback=_ml, metavar="ML")
INK = OneOf(INKS)
AT = partial(click.option, "--at", metavar="TIME")


@click.command("read")
@click.argument("code", metavar="PIECE", shell_complete=piece_codes)
@ML("--white-ml", "white", help="The white that the print took.")
@ML("--colour-ml", "colour", help="The colour that it took.")
@click.option("--place", help="Which print it is, of a piece that is printed in several places.")
@AT(help="When it was read, if not now: 2026-11-25T14:30")
@pass_folder
@answers
def ink_read(
    folder: Folder,
    code: str,
    white: Decimal | None,
    colour: Decimal | None,
    place: str | None,
    at: str | None,
    as_json: bool,
) -> None:
    """Tell the ink that a print of a PIECE took.

    A later reading of the same print corrects it.
    """
    ml: dict[InkName, Decimal | None] = {"white": white, "colour": colour}
    told = {ink: amount for ink, amount in ml.items() if amount is not None}
    if not told:
        raise click.UsageError("How much? Say --white-ml, --colour-ml or both.")
    when = past_or_now(at, folder)

    def work(floor: Floor) -> tuple[Sequence[Fact], str]:
        reading = InkReading(piece=piece_of(floor, code), place=place, ml=told, at=when)
        if found := [_problem(*wrong) for wrong in wrongs(floor, folder.shop, reading)]:
            raise ProblemsFound(found)
        return list(facts_of(folder.shop, reading)), reading.piece.code

    with folder.service() as service:
        piece = service.record(work)
    if as_json:
        say_json({"piece": piece, "place": place, "at": when, **{f"{ink}_ml": amount for ink, amount in ml.items()}})
    else:
        click.echo(f"{piece} took {' and '.join(f'{amount} ml of {ink}' for ink, amount in told.items())}.")


def _problem(said: str, found: str, allowed: str) -> Problem:
    where = f"--{said}-ml" if said in INKS else f"--{said}"
    return Problem(where=where, found=shown_or_nothing(found), allowed=allowed, do="Nothing was recorded")


@click.command("import")
@click.argument("file", type=click.Path(allow_dash=True))
@pass_folder
@answers
def ink_import(folder: Folder, file: str, as_json: bool) -> None:
    """Take the readings of a printer's log, FILE.csv.

    [ink_import] in the shop file says which column is what. The file is taken whole or not at all. The same line
    twice counts once, so a log that has grown may be sent again.
    """
    text, name = text_of(file)

    def work(floor: Floor) -> tuple[Sequence[Fact], Imported]:
        with progress.bar("reading", text.count("\n"), progress.screen()) as on_line:
            found = read_import(text, name, floor, folder.shop, folder.clock.now(), on_line)
        return found.facts, found

    with folder.service() as service:
        found = service.record(work)
    if as_json:
        say_json({"file": name, "readings": len(found.facts), "known": found.known})
    else:
        click.echo(f"{len(found.facts)} readings are new, {found.known} were known.")


@click.command("refill")
@click.argument("ink", type=INK)
@ML("--ml", required=True, help="How much was filled in; 0 takes back the refill of that moment.")
@AT(help="When, if not now. Told again for the same moment, it is corrected.")
@pass_folder
@answers
def ink_refill(folder: Folder, ink: InkName, ml: Decimal, at: str | None, as_json: bool) -> None:
    """Tell that a tank of INK was filled up."""
    when = past_or_now(at, folder)
    with folder.service() as service:
        service.record(lambda floor: ([refill(floor, folder.shop, ink, ml, when)], None))
    _tell(folder, ink, f"{ml} ml of {ink} ink went in.", as_json)


@click.command("level")
@click.argument("ink", type=INK, required=False)
@ML("--ml", help="What is left in all the tanks of the ink; left out, the tanks are shown.")
@AT(help="When it was read, if not now. Told again for the same moment, it is corrected.")
@pass_folder
@answers
def ink_level(folder: Folder, ink: InkName | None, ml: Decimal | None, at: str | None, as_json: bool) -> None:
    """Show the tanks, or tell how much of an INK is left in them."""
    when = past_or_now(at, folder)
    if ml is None:
        _show_tanks(folder, [ink] if ink else list(INKS), when, as_json)
        return
    if ink is None:
        raise click.UsageError(f"Of which ink? Name one of: {', '.join(INKS)}.")
    with folder.service() as service:
        service.record(lambda floor: ([level(folder.shop, ink, ml, when)], None))
    _tell(folder, ink, f"{ml} ml of {ink} ink were left.", as_json)


def _show_tanks(folder: Folder, inks: Sequence[InkName], at: datetime, as_json: bool) -> None:
    found = [each for each in tanks(folder.floor(), folder.shop, at) if each.ink in inks]
    if as_json:
        say_json({"tanks": [asdict(each) for each in found]})
    else:
        out(tanks_text(found, folder.shop, at))


def _tell(folder: Folder, ink: InkName, said: str, as_json: bool) -> None:
    """What was recorded, and the tanks of that ink now."""
    if not as_json:
        click.echo(said)
    _show_tanks(folder, [ink], folder.clock.now(), as_json)


@click.command("calibrate")
@click.argument("ink", type=INK, required=False)
@click.option("--accept", is_flag=True, help="Multiply estimates by the proposed factors from now on.")
@pass_folder
@answers
def ink_calibrate(folder: Folder, ink: InkName | None, accept: bool, as_json: bool) -> None:
    """Hold readings of INK against what was estimated.

    An accepted factor holds for every estimate from then on, for quotes and for what prints cost; jobs that were
    taken before keep their quotes.
    """
    now = folder.clock.now()

    def found(floor: Floor) -> list[Calibration]:
        return [each for each in calibrations(floor, now) if ink in {None, each.ink}]

    if accept:
        with folder.service() as service:
            shown = service.record(lambda floor: (accepted(every := found(floor), now), every))
    else:
        shown = found(folder.floor())
    if as_json:
        factors = [{**asdict(each), "proposed": each.proposed, "accepted": accept and each.proposed} for each in shown]
        say_json({"factors": factors})
    else:
        out(calibration_text(shown, accept))
