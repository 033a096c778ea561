"""The commands of piecewalk, thin: they open a shop, call the floor, and say what came of it."""

import os
import sys

from floor.service.stopping import end_at_once_when_asked

LONG_RUNNING = {"run", "listen", "wall"}
"""Commands that are ended by a signal, and then well: also while the program itself is still being loaded."""


def main() -> None:
    """The program. What it writes is for its own user and group: names, prices, and passwords among it."""
    os.umask(os.umask(0o077) | 0o027)
    if LONG_RUNNING & set(sys.argv[1:]):
        end_at_once_when_asked()
    from floor.cli.main import main as commands

    commands(prog_name="piecewalk")
