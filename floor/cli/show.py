"""`board`, `wall`, `piece`, `press`: looking at the floor. Nothing is changed.

Never draws by itself: floor.wall does.
"""

import click
from rich.console import Console

from floor.cli.completing import piece_codes
from floor.cli.opening import Folder, pass_folder, past_moment, piece_of
from floor.cli.tables import out, piece_text, width
from floor.cli.trouble import NotDone, answers, say_json, told_plainly
from floor.core.plan.board import Board, board
from floor.core.trace.history import piece_answer
from floor.service.lock import is_running
from floor.service.recording import records
from floor.service.stopping import stop_event
from floor.service.watching import Watcher
from floor.wall.alarms import Showing
from floor.wall.listing import board_text, press_text
from floor.wall.live import print_once, show
from shared.plain import plain

AT = click.option("--at", metavar="TIME", help="A past moment instead of now: 2026-11-25T14:30")


def _board(folder: Folder, at: str | None) -> Board:
    past = past_moment(at, folder)
    return board(folder.floor(past), folder.shop, past or folder.clock.now())


@click.command("board")
@AT
@pass_folder
@answers
def show_board(folder: Folder, at: str | None, as_json: bool) -> None:
    """The floor at a moment, as data."""
    found = _board(folder, at)
    if as_json:
        say_json(found)
    else:
        out(board_text(found, folder.shop, width()))


@click.command("press")
@AT
@pass_folder
@answers
def show_press(folder: Folder, at: str | None, as_json: bool) -> None:
    """The press queue: what is in the presses, and what waits wet."""
    found = _board(folder, at)
    if as_json:
        say_json({"at": found.at, "presses": found.presses, "wet": found.wet})
    else:
        out(press_text(found, folder.shop, width()))


@click.command("piece")
@click.argument("code", shell_complete=piece_codes)
@pass_folder
@answers
def show_piece(folder: Folder, code: str, as_json: bool) -> None:
    """One piece: its walk, its times, its cost."""
    floor = folder.floor()
    answer = plain(piece_answer(floor, folder.shop, piece_of(floor, code)))
    if as_json:
        say_json(answer)
    else:
        out(piece_text(answer, folder.shop))


@click.command("wall")
@AT
@click.option("--once", is_flag=True, help="Draw it once and end, for a pipe or a picture.")
@pass_folder
@told_plainly
def show_wall(folder: Folder, at: str | None, once: bool) -> None:
    """The wall, live in this terminal until Ctrl-C."""
    shop, console, past = folder.shop, Console(highlight=False), at is not None
    if once:
        showing = (
            Showing(past=True) if past else Showing(running=is_running(folder.path), recording=records(folder.path))
        )
        print_once(_board(folder, at), shop, console, showing)
        return
    with folder.ledger() as ledger:
        watcher = Watcher(ledger, shop, folder.clock)
        found = _board(folder, at) if past else None
        refused = show(
            (lambda: found) if found else watcher.board,
            shop,
            console,
            folder.clock,
            stop_event().wait,
            running=lambda: is_running(folder.path),
            recording=lambda: records(folder.path),
            past=past,
        )
    if refused:
        raise NotDone(refused)
