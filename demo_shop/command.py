"""`piecewalk demo`: a day in an invented shop.

Never touches a shop of the user's: the demo's own lies in a folder that did not exist before.
"""

import sys
import tempfile
from pathlib import Path

import click

NOT_AS_PROMISED = 1
DEFAULT_SEED = 7


@click.command()
@click.option("--fast", is_flag=True, help="In seconds: a few pictures of the wall, where else it moves for a minute.")
@click.option("--seed", type=int, default=DEFAULT_SEED, show_default=True, help="Another day; the same one each time.")
@click.option(
    "--keep",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="Keep the shop in DIR, which must not exist yet, to look around in it afterwards.",
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON, for scripts.")
def demo(fast: bool, seed: int, keep: Path | None, as_json: bool) -> None:
    """Play a day in an invented shop: jobs taken, travellers printed and read back, pieces walked, the week closed.

    Everything is real but the hands and the clock: the commands, the paper, the listeners, the ledger. Exit status 0
    only when all went as promised.
    """
    with tempfile.TemporaryDirectory(prefix="piecewalk-demo-") as folder:
        good = _perform(keep or Path(folder) / "shop", fast=fast, seed=seed, as_json=as_json, kept=keep is not None)
    sys.exit(0 if good else NOT_AS_PROMISED)


def _perform(path: Path, *, fast: bool, seed: int, as_json: bool, kept: bool) -> bool:
    """Whether all went as promised. What it takes is imported here, so that no other command waits for it."""
    from floor.cli.trouble import NotDone, told

    with told(as_json):
        if path.exists():
            raise NotDone(f"{path} exists already", do="Name a folder that does not, or leave --keep out.")
        try:
            import pty  # noqa: F401 - what virtual scanners are made of
        except ImportError:
            raise NotDone("The demo needs pseudo-terminals", do="Run it on Linux or macOS.") from None
        from demo_shop.show import show

        return show(path, fast=fast, seed=seed, as_json=as_json, kept=kept)
    raise AssertionError  # told() ends the program
