"""Files that are there whole, or not at all.

Never leaves half of one under its name.
"""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO


@contextmanager
def whole(path: Path) -> Iterator[BinaryIO]:
    """A file that gets its name when all is in it; what bore the name before is there until then. Raises OSError."""
    path = path.resolve()
    part = path.with_name(f"{path.name}.part")
    try:
        with part.open("wb") as file:
            yield file
        part.replace(path)
    finally:
        with suppress(OSError):  # what could not be written may have no place to be removed from
            part.unlink()
