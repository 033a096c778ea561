"""`run`, `scan`, `backfill`: reads reach the floor.

Never decides on a read: floor.service.service does.
"""

import sys
from collections.abc import Iterable
from typing import Any
from uuid import uuid4

import click
from msgspec.structs import asdict

from floor.cli import progress
from floor.cli.completing import badge_names, piece_codes, station_names
from floor.cli.opening import Folder, pass_folder, past_or_now
from floor.cli.reading import text_of
from floor.cli.saying import saying
from floor.cli.trouble import NOT_DONE, answers, say_json
from floor.running import run_floor
from floor.service.backfill import read_backfill
from floor.service.service import Service
from shared.files.shopfile import FILE_NAME
from shared.harmless import harmless
from shared.scan import BY_HAND, Scan


@click.command()
@pass_folder
@answers
def run(folder: Folder, as_json: bool) -> None:
    """Run the floor until Ctrl-C: listen, and keep the time."""
    with saying(as_json=as_json) as say:
        if not folder.shop.file.scanners:
            say(
                f"{FILE_NAME} names no scanner: reads come from the pages, benches and by hand. Add [[scanners]] to it."
            )
        with folder.service(verify=True) as service:
            run_floor(service, folder.path, say)


@click.command()
@click.argument("code", shell_complete=piece_codes)
@click.option("--station", shell_complete=station_names, help="The station at which it is read.")
@click.option("--badge", shell_complete=badge_names, help="Whose hands.")
@click.option("--at", metavar="TIME", help="When it was read, if not now.")
@pass_folder
@answers
def scan(folder: Folder, code: str, station: str | None, badge: str | None, at: str | None, as_json: bool) -> None:
    """Read one CODE by hand, as a scanner at a station would."""
    when = past_or_now(at, folder)
    read = Scan(
        read_id=uuid4().hex, text=code, at=when, device=BY_HAND, station=station, badge=badge, typed=at is not None
    )
    with folder.service() as service:
        answer = service.scan(read)
    if as_json:
        say_json(asdict(answer))
    else:
        click.echo(harmless(answer.line), err=not answer.good)
    if not answer.good:
        sys.exit(NOT_DONE)


@click.command()
@click.argument("file", type=click.Path(allow_dash=True))
@click.option("--each", is_flag=True, help="Print every line of it, and not the sum alone.")
@pass_folder
@answers
def backfill(folder: Folder, file: str, each: bool, as_json: bool) -> None:
    """Take scans that were written down, from FILE.csv.

    Its columns are occurred_at, code, station and badge, with commas between them; the rules are those of any scan.
    The same line twice counts once, so a file may be sent again.
    """
    text, name = text_of(file)
    scans = read_backfill(text, name, folder.shop, folder.clock.now())
    with folder.service() as service:
        recorded = progress.counted("recording", scans, len(scans), progress.screen())
        told = [_backfilled(service, line, scan) for line, scan in recorded]
    refused = [line for line in told if line["outcome"] == "refused"]
    if as_json:
        say_json({"lines": told, "accepted": len(told) - len(refused), "refused": len(refused)})
    else:
        for line in told if each else _first_refused(refused):
            click.echo(f"line {line['line']}: {line['outcome']}: {harmless(line['say'])}")
        click.echo(f"{len(told) - len(refused)} accepted, {len(refused)} refused.")
    if refused:
        sys.exit(NOT_DONE)


def _first_refused(refused: list[dict[str, Any]]) -> Iterable[dict[str, Any]]:
    """Of each reason the first line, which stands for the others."""
    return {line["reason"]: line for line in reversed(refused)}.values()


def _backfilled(service: Service, line: int, scan: Scan) -> dict[str, Any]:
    return {"line": line, **asdict(service.scan(scan))}
