"""The wall kept current on a terminal's screen: read, draw when something changed, wait, again.

Never draws a part of a screen, and never leaves the terminal other than it was found.
"""

from collections.abc import Callable
from contextlib import suppress

from rich.console import Console
from rich.live import Live

from floor.core.plan.board import Board
from floor.wall.alarms import Showing
from floor.wall.terminal import LIVE, draw
from shared.clock import Clock
from shared.files.shop import Shop

FRAME_S = 0.25
"""Between two looks at the board: at most four frames a second, which no terminal flickers at."""
STALE_FROM_S = 5.0
"""A board that is older than this is said to be old."""
MINUTE_S = 60
NO_TERMINAL = (
    "The wall needs a terminal, and its output goes elsewhere. Use `wall --once` for a single picture, "
    "or `board` for the same as a list"
)

ReadBoard = Callable[[], Board]
"""Gives the newest board that can be had. One that cannot be had anew is given again, and its moment tells its age."""
Wait = Callable[[float], bool]
"""Waits for so many seconds, or less; whether it is time to end. threading.Event.wait is one."""


def show(
    read_board: ReadBoard,
    shop: Shop,
    console: Console,
    clock: Clock,
    wait: Wait,
    running: Callable[[], bool] = lambda: True,
    recording: Callable[[], bool] = lambda: True,
    *,
    past: bool = False,
) -> str | None:
    """Show the wall until `wait` says that it is time to end, or Ctrl-C is pressed.

    `running` tells whether the floor's service runs, `recording` whether it can record; `past` that the board is of a
    moment that was asked for.
    Gives back None when it ended well, else why nothing was shown. What `read_board` raises is raised, the terminal
    as it was before.
    """
    if not console.is_terminal or console.is_dumb_terminal:
        return NO_TERMINAL
    seen = None
    with suppress(KeyboardInterrupt), Live(console=console, screen=True, auto_refresh=False) as live:
        while True:
            board = read_board()
            showing = Showing(past=True) if past else _present(board, clock, running=running(), recording=recording())
            now_seen = (console.size, showing, board.seq, _tick(board))
            if now_seen != seen:
                live.update(draw(board, shop, *console.size, showing), refresh=True)
                seen = now_seen
            if wait(FRAME_S):
                break
    return None


def _present(board: Board, clock: Clock, *, running: bool, recording: bool) -> Showing:
    age_s = (clock.now() - board.at).total_seconds()
    stale_s = float(int(age_s)) if age_s > STALE_FROM_S else None
    return Showing(stale_s=stale_s, running=running, recording=recording)


def _tick(board: Board) -> int:
    """Changes each second while something is timed, and each minute else."""
    timed = bool(board.wet) or any(press.piece for press in board.presses)
    return int(board.at.timestamp() // (1 if timed else MINUTE_S))


def print_once(board: Board, shop: Shop, console: Console, showing: Showing = LIVE) -> None:
    """Print the wall as one picture: as large as the window, or, in a pipe, as COLUMNS and LINES say (80 × 25)."""
    wall = draw(board, shop, *console.size, showing)
    if console.is_terminal:
        console.print(wall, end="")
        return
    with console.capture() as picture:
        console.print(wall, end="")
    lines = [line.rstrip() for line in picture.get().splitlines()]
    console.file.write("\n".join(lines).rstrip() + "\n")
