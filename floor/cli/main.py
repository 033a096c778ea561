"""`piecewalk`: the group that all commands hang on.

Never does anything itself.
"""

from importlib.metadata import entry_points, version
from pathlib import Path

import click

from floor.cli import (
    access,
    bench,
    copies,
    export,
    ink,
    jobs,
    listen,
    lot,
    paper,
    quote,
    settle,
    show,
    standards,
    stock,
    trace,
    week,
    what_if,
)
from floor.cli.opening import Folder
from shared.clock import SystemClock


@click.group(context_settings={"help_option_names": ["-h", "--help"]}, epilog="A first look: piecewalk demo")
@click.option(
    "--shop",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    envvar="PIECEWALK_SHOP",
    default=Path(),
    help="The shop's folder; else PIECEWALK_SHOP, else the current folder.",
)
@click.version_option(version("piecewalk"), prog_name="piecewalk")
@click.pass_context
def main(context: click.Context, folder: Path) -> None:
    """Walk every piece through the right steps, watch the press, and know what it cost."""
    if context.obj is None:  # a program that calls the commands brings a folder, with a clock of its own
        context.obj = Folder(folder, SystemClock())


for command in (
    settle.init,
    settle.check,
    copies.backup,
    copies.restore,
    copies.move,
    quote.quote,
    jobs.job,
    ink.ink,
    paper.tickets,
    paper.cards,
    listen.run,
    listen.scan,
    listen.backfill,
    bench.listen,
    bench.bench,
    access.access,
    show.show_board,
    show.show_wall,
    show.show_piece,
    show.show_press,
    week.report,
    standards.standards,
    what_if.what_if,
    export.export,
    trace.trace,
    lot.lot,
    stock.stock,
):
    main.add_command(command)

for plugged in entry_points(group="piecewalk.commands"):
    main.add_command(plugged.load(), plugged.name)
