"""The demo before its audience: a person at a terminal, a log, or a script.

Never plays anything: demo_shop.staging does.
"""

from pathlib import Path

from click import echo
from rich.console import Console

from demo_shop.office import PRINTED
from demo_shop.scene import Scene
from demo_shop.staging import DATE, Outcome, perform
from floor.cli.main import main
from floor.cli.trouble import say_json

WIDTH_OFF_TERMINAL = 100
"""Of the pictures of the wall, where there is no terminal to fill."""


def show(path: Path, *, fast: bool, seed: int, as_json: bool, kept: bool) -> bool:
    """Play the demo in a new folder and show it; whether all went as promised. Raises NotAsPromised."""
    console = _console(quiet=as_json)
    scene = Scene(console, moving=console.is_terminal and not console.is_dumb_terminal and not (fast or as_json))
    outcome = perform(path, seed, scene)
    if as_json:
        say_json(_summary(outcome, kept))
        return outcome.good
    main.main(args=["report", "--week", outcome.week], obj=outcome.folder, standalone_mode=False)
    scene.show_played(outcome.reads, outcome.happened)
    scene.show_promises(outcome.promises)
    echo(_what_next(outcome) if kept else "To look around in the shop afterwards: piecewalk demo --keep DIR")
    return outcome.good


def _console(*, quiet: bool) -> Console:
    console = Console(highlight=False, quiet=quiet)
    if console.is_terminal or quiet:
        return console
    return Console(width=WIDTH_OFF_TERMINAL, no_color=True, highlight=False)


def _what_next(outcome: Outcome) -> str:
    """Commands to try in the shop that was kept."""
    job = outcome.orders[0]
    words = (
        f"report --week {outcome.week}",
        f"wall --at {DATE}T09:30",
        f"job show {job.job}",
        f"piece {job.read[0]}",
        "check",
    )
    path = outcome.folder.path
    return "\n".join(
        [
            f"The shop is in {path}, its travellers in {path / PRINTED}. Look around:",
            *(f"  piecewalk --shop {path} {each}" for each in words),
        ]
    )


def _summary(outcome: Outcome, kept: bool) -> dict[str, object]:
    """The outcome for scripts."""
    return {
        "good": outcome.good,
        "seed": outcome.seed,
        "shop": str(outcome.folder.path) if kept else None,
        "jobs": {order.job: {"given": len(order.given), "read_back": len(order.read)} for order in outcome.orders},
        "cards_read_back": outcome.cards,
        "reads": outcome.reads,
        "happened": outcome.happened,
        "report": outcome.report,
        "promises": outcome.promises,
    }
