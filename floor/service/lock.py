"""That a shop folder has one running floor, and no more.

Never outlives its process: the operating system lets go of the lock, even when the process is killed.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

LOCK_NAME = ".piecewalk.lock"
LOCK_WAIT_S = 0.5
"""A wall takes the lock for a moment, to see whether the floor runs; whoever means to run waits that out."""


class AlreadyRunning(ValueError):
    """Another `run` has this shop folder."""


@contextmanager
def floor_lock(folder: Path, wait_s: float = LOCK_WAIT_S) -> Iterator[None]:
    """Hold the folder's lock: the operating system lets go of it even when the process is killed.

    Raises AlreadyRunning when it is held for longer than a look takes.
    """
    lock = FileLock(folder / LOCK_NAME)
    try:
        lock.acquire(timeout=wait_s)
    except Timeout:
        raise AlreadyRunning(f"The floor of {folder} is running already. Stop that one first.") from None
    try:
        yield
    finally:
        lock.release()


def is_running(folder: Path) -> bool:
    """Whether a floor runs on this folder, on this machine."""
    if not (folder / LOCK_NAME).exists():
        return False
    try:
        with floor_lock(folder, wait_s=0):
            return False
    except AlreadyRunning:
        return True
