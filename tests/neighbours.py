"""Tests that run beside each other, and those that must be alone on the machine while they measure.

Never knows what a test does: whoever marks it `alone` does.
"""

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class Machine:
    """What the workers of one run share, by two files in a folder; the system lets go of both with the process.

    Many tests use it at once, or one that must be alone. Who waits for it stands in the door, or those who come and
    go would never leave it empty.
    """

    def __init__(self, folder: Path) -> None:
        self._door = (folder / "door.lock").open("w")
        self._room = (folder / "room.lock").open("w")

    @contextmanager
    def used(self, *, alone: bool) -> Iterator[None]:
        """Wait until there is room, and use it until the block ends."""
        fcntl.flock(self._door, fcntl.LOCK_EX)
        fcntl.flock(self._room, fcntl.LOCK_EX if alone else fcntl.LOCK_SH)
        fcntl.flock(self._door, fcntl.LOCK_UN)
        try:
            yield
        finally:
            fcntl.flock(self._room, fcntl.LOCK_UN)

    def close(self) -> None:
        """Let go of the files."""
        self._door.close()
        self._room.close()
