"""The groups of commands below `piecewalk` that do nothing by themselves: `access`, `bench`, `job`, `ink`, `lot`.

Never imports a command: `piecewalk job --help` says what there is, and reads no shop.
"""

import click

from floor.cli.lazy import LazyGroup

HEADING = "Commands"


@click.group(cls=LazyGroup)
def access() -> None:
    """Passwords for the pages: view, station, office.

    Without any, the pages are for this machine alone. With one, everybody must give one: view opens the wall, station
    the station screens too, office all.
    """


access.place(
    HEADING,
    set="floor.cli.access:access_set",
    list="floor.cli.access:access_list",
    remove="floor.cli.access:access_remove",
)


@click.group(cls=LazyGroup)
def bench() -> None:
    """Add, list and revoke remote benches.

    Each has a token that can post scans, and do nothing else.
    """


bench.place(
    HEADING,
    add="floor.cli.bench:bench_add",
    list="floor.cli.bench:bench_list",
    revoke="floor.cli.bench:bench_revoke",
)


@click.group(cls=LazyGroup)
def job() -> None:
    """Take, list, show, hold, release and cancel jobs."""


job.place(
    HEADING,
    add="floor.cli.jobs:job_add",
    list="floor.cli.jobs:job_list",
    show="floor.cli.jobs:job_show",
    hold="floor.cli.jobs:job_hold",
    release="floor.cli.jobs:job_release",
    cancel="floor.cli.jobs:job_cancel",
)


@click.group(cls=LazyGroup)
def ink() -> None:
    """The ink that prints take."""


ink.place(
    HEADING,
    estimate="floor.cli.ink:estimate",
    read="floor.cli.ink_book:ink_read",
    import_="floor.cli.ink_book:ink_import",
    refill="floor.cli.ink_book:ink_refill",
    level="floor.cli.ink_book:ink_level",
    calibrate="floor.cli.ink_book:ink_calibrate",
)


@click.group(cls=LazyGroup)
def lot() -> None:
    """The lots of blanks, pretreat, ink and cover sheets in use."""


lot.place(HEADING, open="floor.cli.lot:lot_open", list="floor.cli.lot:lot_list")
