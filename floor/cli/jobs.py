"""`quote` and `job`: what an order would cost, and taking it.

Never stores anything of a quote; a job file that has a fault is refused whole.
"""

import sys
from collections.abc import Callable
from datetime import datetime
from functools import partial
from pathlib import Path

import click

from floor.cli.completing import job_codes
from floor.cli.opening import Folder, job_of, pass_folder
from floor.cli.tables import job_lines, job_text, out, quote_text
from floor.cli.trouble import NotDone, answers, say_json
from floor.core.cost.quote import quote_answer
from floor.core.orders.jobs import cancel, hold, release
from floor.core.state.floor import Floor
from floor.core.trace.history import job_answer, job_times_answer
from floor.papers.artwork import keep_artwork
from shared.events.recorded import Fact
from shared.files.jobfile import JobFile, load_job, parse_job
from shared.files.problems import parse_toml
from shared.files.shop import Shop
from shared.plain import plain

JOB_FILE = click.argument("file", type=click.Path(allow_dash=True))


def _job_code(_context: click.Context, _parameter: click.Parameter, text: str) -> str:
    return text.strip().upper()


JOB_CODE = partial(click.argument, metavar="JOB", callback=_job_code, shell_complete=job_codes)
"""A job by its code, however its letter was typed."""


def read_job(file: str, shop: Shop) -> JobFile:
    """A job file by its path, or from standard input, its ink told by its pictures. Raises ProblemsFound."""
    folder = Path(file).parent  # of "-" it is the current folder
    if file == "-":
        job = parse_job(parse_toml(sys.stdin.buffer.read(), "standard input"), shop, folder, "standard input")
    else:
        job = load_job(Path(file), shop)
    if not any(each.artwork for line in job.lines for each in line.prints):
        return job
    from floor.ink.filling import fill_ink

    return fill_ink(job, shop, folder)


@click.command("add")
@JOB_FILE
@pass_folder
@answers
def job_add(folder: Folder, file: str, as_json: bool) -> None:
    """Take a job from its FILE.

    Its quote is frozen, and every piece gets its code.
    """
    shop = folder.shop
    order = keep_artwork(read_job(file, shop), Path(file).parent, folder.path)
    with folder.service() as service:
        taken = service.take(order)
    quoted = plain(quote_answer(taken.added.lines, shop.currency, shop.unit))
    if as_json:
        say_json({"job": taken.job, "pieces": list(taken.pieces), "quote": quoted})
        return
    out(quote_text(quoted))
    pieces = "1 piece" if len(taken.pieces) == 1 else f"{len(taken.pieces)} pieces"
    click.echo(f"{taken.job} is taken: {pieces}. Next: piecewalk tickets {taken.job}")
    if taken.added.due <= folder.clock.now():
        click.echo(f"{taken.job} is late already: its due time has passed. Is the date right?", err=True)


@click.command("list")
@pass_folder
@answers
def job_list(folder: Folder, as_json: bool) -> None:
    """Every job, and how far it is."""
    floor = folder.floor()
    answer = [plain(job_answer(each)) for each in floor.jobs.values()]
    if as_json:
        say_json({"jobs": answer})
    else:
        out(job_lines(answer, folder.shop))


@click.command("show")
@JOB_CODE("code")
@pass_folder
@answers
def job_show(folder: Folder, code: str, as_json: bool) -> None:
    """One job: its lines, its quote, and every piece of it."""
    shop, floor = folder.shop, folder.floor()
    found = job_of(floor, code)
    times = job_times_answer(floor, shop, found, folder.clock.now())
    answer = {**plain(job_answer(found, whole=True)), "times": times}
    quoted = plain(quote_answer(found.lines, shop.currency, shop.unit))
    if as_json:
        say_json({**answer, "quote": quoted})
    else:
        out(job_text(answer, shop))
        out(quote_text(quoted))


WHY = click.option("--why", default="", help="A word for those who ask later.")


@click.command("hold")
@JOB_CODE("code")
@WHY
@pass_folder
@answers
def job_hold(folder: Folder, code: str, why: str, as_json: bool) -> None:
    """Stop work on a job for now.

    Nothing more of it is begun until it is released. What is wet is cured all the same, and what is in a press comes
    out of it.
    """
    _change(folder, lambda floor, now: hold(floor, code, why, now), f"{code} is on hold.", as_json)


@click.command("release")
@JOB_CODE("code")
@pass_folder
@answers
def job_release(folder: Folder, code: str, as_json: bool) -> None:
    """Go on with a held job."""
    _change(folder, lambda floor, now: release(floor, code, now), f"{code} may go on.", as_json)


@click.command("cancel")
@JOB_CODE("code")
@WHY
@click.option("--yes", is_flag=True, help="Do not ask.")
@pass_folder
@answers
def job_cancel(folder: Folder, code: str, why: str, yes: bool, as_json: bool) -> None:
    """Give a job up, and its open pieces with it."""
    if not yes:
        cancel(folder.floor(), code, why, folder.clock.now())  # nobody is asked about what cannot be done
    if not yes and not sys.stdin.isatty():
        raise NotDone(f"{code} was not cancelled: nobody is there to confirm it", do="Say --yes.")
    if not yes and not click.confirm(f"Give up {code} and all of its open pieces?", err=True):
        raise NotDone(f"{code} was not cancelled", do="Nothing was changed.")
    _change(folder, lambda floor, now: cancel(floor, code, why, now), f"{code} is cancelled.", as_json)
    for piece in folder.floor().lying.values():
        if piece.job == code:
            click.echo(f"{piece.code} is still in {piece.press}: take it out, and scan it there.", err=True)


def _change(folder: Folder, change: Callable[[Floor, datetime], Fact], done: str, as_json: bool) -> None:
    with folder.service() as service:
        service.record(lambda floor: ([change(floor, service.clock.now())], None))
    if as_json:
        say_json({"done": done})
    else:
        click.echo(done)
