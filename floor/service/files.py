"""Files that are there whole, or not at all.

Never leaves half of one under its name.
"""

import errno
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

KIND_BYTES = 4
"""By so many first bytes files of one kind are known: %PDF, SQLi, the beginning of a table's first heading."""


@contextmanager
def whole(path: Path) -> Iterator[BinaryIO]:
    """A file that gets its name when all is in it; what bore the name before is there until then.

    It takes the place of no file of another kind: a slip of the hand must not cost a ledger. Raises OSError.
    """
    path = path.resolve()
    part = path.with_name(f"{path.name}.part")
    try:
        with part.open("wb") as file:
            yield file
        _check_kind(path, part)
        part.replace(path)
    finally:
        with suppress(OSError):  # what could not be written may have no place to be removed from
            part.unlink()


def _check_kind(path: Path, part: Path) -> None:
    if path.is_file() and (before := _kind(path)) and before != _kind(part):
        raise FileExistsError(errno.EEXIST, "a file of another kind has that name", str(path))


def _kind(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(KIND_BYTES)
