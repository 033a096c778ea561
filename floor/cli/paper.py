"""`tickets` and `cards`: what is printed.

Never draws: tickets does.
"""

import click

from floor.cli import progress
from floor.cli.choices import OneOf
from floor.cli.completing import piece_codes
from floor.cli.jobs import JOB_CODE
from floor.cli.opening import Folder, job_of, pass_folder, piece_of
from floor.cli.trouble import NotDone, answers, say_json
from floor.cli.writing import whole_file
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from tickets.kit.paper import PAPERS

OUT = click.option("-o", "--out", type=click.Path(allow_dash=True), help="The PDF to write; - is standard output.")

AT_ONCE = 200
"""So many tickets are drawn before anybody asks how long it takes."""


@click.command()
@JOB_CODE("job")
@OUT
@click.option("--stock", type=OneOf(PAPERS), help="What it is printed on. Left out: the shop's own.")
@click.option("--piece", "code", metavar="CODE", shell_complete=piece_codes, help="Only this piece.")
@pass_folder
@answers
def tickets(folder: Folder, job: str, out: str | None, stock: str | None, code: str | None, as_json: bool) -> None:
    """The travellers of a JOB as a PDF, one for each open piece."""
    from floor.papers.travellers import tickets_of, write_travellers

    floor = folder.floor()
    pieces = _pieces(floor, job, code)
    file = out or f"{job}-travellers.pdf"
    with whole_file(file) as pdf:
        drawn = tickets_of(floor, folder.shop, folder.path, pieces)
        with progress.bar("drawing", len(drawn), progress.screen() if len(drawn) > AT_ONCE else None) as on_ticket:
            write_travellers(drawn, folder.shop, pdf, stock, on_ticket)
    if as_json and file != "-":
        say_json({"file": file, "pieces": [piece.code for piece in pieces]})
    else:
        click.echo(f"{_are_in(len(pieces), 'traveller', file)} Print at true size, never fitted.", err=True)


def _pieces(floor: Floor, job: str, code: str | None) -> list[Piece]:
    whole = job_of(floor, job)
    if code is not None:
        piece = piece_of(floor, code)
        if piece.job != job:
            raise NotDone(
                f"Piece {piece.code} belongs to {piece.job}", do=f"piecewalk tickets {piece.job} --piece {code}"
            )
        return [piece]
    pieces = [piece for piece in whole.pieces if piece.state == "open"]
    if not pieces:
        raise NotDone(f"{job} has no open piece", do="Name one with --piece to print its ticket again.")
    return pieces


@click.command()
@OUT
@click.option("--paper", type=OneOf(["a4", "letter"]), default="a4", show_default=True)
@pass_folder
@answers
def cards(folder: Folder, out: str | None, paper: str, as_json: bool) -> None:
    """The shop's cards as a PDF.

    Stations, badges, reasons, commands and care tasks: all that is read at a station and is no piece.
    """
    from floor.papers.travellers import write_cards

    file = out or "cards.pdf"
    with whole_file(file) as pdf:
        write_cards(folder.shop, pdf, paper)
    found = [
        {"code": card.code, "kind": card.type.name.lower(), "name": card.name} for card in folder.shop.cards.values()
    ]
    if as_json and file != "-":
        say_json({"file": file, "cards": found})
    else:
        click.echo(_are_in(len(found), "card", file), err=True)


def _are_in(count: int, what: str, file: str) -> str:
    return f"{count} {what} is in {file}." if count == 1 else f"{count} {what}s are in {file}."
