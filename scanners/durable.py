"""Writing to a file so that it stays written, whatever becomes of the program or the power.

Never hides that it could not: every function raises OSError.
"""

import os
from collections.abc import Iterable
from pathlib import Path
from typing import BinaryIO

try:
    import fcntl
except ImportError:  # Windows
    _FULL_SYNC = None
else:
    _FULL_SYNC = getattr(fcntl, "F_FULLFSYNC", None)  # macOS: fsync alone leaves data in the disk's own cache


def append(file: BinaryIO, data: bytes) -> None:
    """Add data to an unbuffered file; on the disk when it returns. After an error, part of it may be there.

    A disk that fills up takes a part of the data first, and only says so at the next write.
    """
    rest = memoryview(data)
    while rest:
        rest = rest[file.write(rest) :]
    sync(file)


def sync(file: BinaryIO) -> None:
    """Wait until the disk has all of a file."""
    if _FULL_SYNC is not None:
        fcntl.fcntl(file.fileno(), _FULL_SYNC)
    else:
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Wait until the disk has the names in a folder: a new file is only safe then."""
    if os.name != "posix":
        return  # Windows has no such thing, and its file systems keep names in their own journal
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def replace(path: Path, chunks: Iterable[bytes]) -> None:
    """Give a file new contents: the whole of the old or the whole of the new is there at any moment."""
    new = path.with_name(f"{path.name}.new")
    with new.open("wb", buffering=0) as file:
        append(file, b"".join(chunks))
    new.replace(path)
    sync_folder(path.parent)
