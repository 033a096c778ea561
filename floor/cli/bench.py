"""`bench` and `listen`: remote benches, at the floor's end and at their own.

Never shows a token twice.
"""

from pathlib import Path

import click

from floor.cli.choices import no_such
from floor.cli.opening import Folder, pass_folder
from floor.cli.saying import saying
from floor.cli.trouble import NotDone, answers, say_json
from floor.doors.benches import Benches
from floor.service.stopping import stop_event
from shared.files.shopfile import Scanner
from shared.harmless import harmless

SPOOL_NAME = "bench.spool"


@click.command("add")
@click.argument("name")
@pass_folder
@answers
def bench_add(folder: Folder, name: str, as_json: bool) -> None:
    """Make a token for the bench NAME; it is shown this once."""
    token = _benches(folder).add(name, folder.clock.now())
    if as_json:
        say_json({"bench": name, "token": token})
        return
    click.echo(token)
    click.echo(f"This is the token of {harmless(name)}, shown this once. Keep it in a file at the bench.", err=True)
    click.echo("Next, at the bench: piecewalk listen --to http://FLOOR:8765 --token-file FILE", err=True)


@click.command("list")
@pass_folder
@answers
def bench_list(folder: Folder, as_json: bool) -> None:
    """Every bench that may send scans."""
    found = _benches(folder).all()
    if as_json:
        say_json({"benches": [{"bench": each.name, "added_at": each.added_at} for each in found]})
        return
    for each in found:
        click.echo(f"{harmless(each.name)}: added {each.added_at:%Y-%m-%d}")
    if not found:
        click.echo("There is no bench. Add one with: piecewalk bench add NAME", err=True)


@click.command("revoke")
@click.argument("name")
@pass_folder
@answers
def bench_revoke(folder: Folder, name: str, as_json: bool) -> None:
    """Let the token of the bench NAME count no longer.

    What it has not delivered stays in its spool.
    """
    _benches(folder).revoke(name)
    if as_json:
        say_json({"revoked": name})
    else:
        click.echo(f"{harmless(name)} may send nothing any more.")


@click.command()
@click.option("--to", "url", required=True, metavar="URL", help="The floor's address: http://floor.local:8765")
@click.option(
    "--token-file",
    required=True,
    type=click.Path(path_type=Path, dir_okay=False),
    help="Holds the token that `piecewalk bench add` showed.",
)
@click.option(
    "--spool", type=click.Path(path_type=Path), help=f"Keeps the reads; else {SPOOL_NAME} in the shop folder."
)
@click.option(
    "--scanner", "names", multiple=True, metavar="NAME", help="Only this scanner of the shop file; repeat it."
)
@pass_folder
@answers
def listen(
    folder: Folder, url: str, token_file: Path, spool: Path | None, names: tuple[str, ...], as_json: bool
) -> None:
    """Listen at a bench away from the floor, and forward to it.

    Each read is kept first, then sent to the floor at URL. The floor may be away for days: nothing that was answered
    with "kept" is lost.
    """
    from floor.doors.remote import Place, run_bench
    from scanners.post import NoToken
    from scanners.spool import SpoolError

    scanners = _scanners(folder, names)
    place = Place(url, token_file, spool or folder.path / SPOOL_NAME)
    try:
        with saying(as_json=as_json) as say:
            run_bench(scanners, place, folder.clock, say, stop_event())
    except (SpoolError, NoToken) as error:
        raise NotDone(str(error)) from None


def _benches(folder: Folder) -> Benches:
    folder.shop  # noqa: B018 - a folder that is no shop's gets no benches
    return Benches(folder.path)


def _scanners(folder: Folder, names: tuple[str, ...]) -> list[Scanner]:
    known = {scanner.name: scanner for scanner in folder.shop.file.scanners}
    for name in names:
        if name not in known:
            raise no_such("scanner", name, known)
    chosen = [known[name] for name in names or known]
    if not chosen:
        raise NotDone("The shop file names no scanner", do="Add [[scanners]] with a name and a port to it.")
    return chosen
