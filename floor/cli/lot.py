"""`lot`: which lot of a material is in use.

Never changes what was recorded: a lot that was opened wrongly is corrected by opening the right one at the same moment.
"""

from typing import get_args

import click

from floor.cli.choices import OneOf
from floor.cli.completing import item_names, station_names
from floor.cli.opening import Folder, pass_folder, past_or_now
from floor.cli.tables import out
from floor.cli.trace_tables import lot_lines
from floor.cli.trouble import answers, say_json
from floor.core.trace.lots import lots_answer, open_lot
from shared.events.supplies import LotOpened, Material
from shared.harmless import harmless
from shared.wording import spaced

MATERIALS = OneOf(get_args(Material))


@click.command("open")
@click.argument("material", type=MATERIALS)
@click.argument("name", metavar="LOT")
@click.option("--at", metavar="TIME", help="When it was opened, if not now: 2026-11-25T14:30")
@click.option(
    "--station",
    metavar="NAME",
    shell_complete=station_names,
    help="The only station that it is used at; left out, all of them.",
)
@click.option("--item", metavar="NAME", shell_complete=item_names, help="Of blanks: which item of the shop file.")
@pass_folder
@answers
def lot_open(
    folder: Folder, material: Material, name: str, at: str | None, station: str | None, item: str | None, as_json: bool
) -> None:
    """Use a LOT from now on.

    Until another of the same material is opened, every step that takes the material takes it from this lot. A wrong
    LOT is put right by opening the right one with --at the same moment.
    """
    when = past_or_now(at, folder)
    event = LotOpened(material=material, lot=name.strip(), item=item, at_station=station)
    with folder.service() as service:
        service.record(lambda floor: ([open_lot(floor, folder.shop, event, when)], None))
    if as_json:
        say_json({"material": material, "lot": event.lot, "item": item, "station": station, "since": when})
    else:
        click.echo(harmless(f"{spaced(material)} {event.lot} is in use at {station or 'every station'}."))


@click.command("list")
@pass_folder
@answers
def lot_list(folder: Folder, as_json: bool) -> None:
    """Every lot that was opened, and until when it was in use."""
    found = lots_answer(folder.floor())
    if as_json:
        say_json({"lots": found})
    else:
        out(lot_lines(found, folder.shop))
