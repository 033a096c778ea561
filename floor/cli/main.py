"""`piecewalk`: the group that all commands hang on.

Never does anything itself, and imports no command that is not called.
"""

from pathlib import Path

import click

from floor.cli.lazy import LazyGroup


@click.group(
    cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]}, epilog="A first look: piecewalk demo"
)
@click.option(
    "--shop",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    envvar="PIECEWALK_SHOP",
    default=Path(),
    help="The shop's folder; else PIECEWALK_SHOP, else the current folder.",
)
@click.version_option(package_name="piecewalk", prog_name="piecewalk")
def main(folder: Path) -> None:
    """Walk every piece through the right steps, watch the press, and know what it cost."""


main.place(
    "Set up",
    init="floor.cli.settle:init",
    check="floor.cli.settle:check",
    access="floor.cli.groups:access",
    bench="floor.cli.groups:bench",
    cards="floor.cli.paper:cards",
)
main.place_plugged("Set up", "piecewalk.commands")
main.place(
    "Jobs",
    quote="floor.cli.quote:quote",
    job="floor.cli.groups:job",
    tickets="floor.cli.paper:tickets",
    what_if="floor.cli.what_if:what_if",
)
main.place(
    "Floor",
    run="floor.cli.listen:run",
    listen="floor.cli.bench:listen",
    scan="floor.cli.listen:scan",
    backfill="floor.cli.listen:backfill",
    wall="floor.cli.show:show_wall",
    board="floor.cli.show:show_board",
    press="floor.cli.show:show_press",
    piece="floor.cli.show:show_piece",
    trace="floor.cli.trace:trace",
)
main.place(
    "Cost and ink",
    ink="floor.cli.groups:ink",
    lot="floor.cli.groups:lot",
    stock="floor.cli.stock:stock",
    standards="floor.cli.standards:standards",
)
main.place("Week", report="floor.cli.week:report")
main.place(
    "Keep",
    backup="floor.cli.copies:backup",
    restore="floor.cli.copies:restore",
    move="floor.cli.copies:move",
    export="floor.cli.export:export",
)
