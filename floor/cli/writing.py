"""Where a file goes that a command makes.

Never leaves half a file under the name that was asked for.
"""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from floor.cli.trouble import NotDone
from floor.service.files import whole


@contextmanager
def whole_file(name: str) -> Iterator[BinaryIO]:
    """A file that gets its name when all is in it; "-" is standard output. Raises NotDone for one that cannot be."""
    if name == "-":
        yield sys.stdout.buffer
        return
    path = Path(name).resolve()
    other = path.exists() and not path.is_file()  # a pipe or a device keeps its name
    try:
        with path.open("wb") if other else whole(path) as file:
            yield file
    except OSError as error:
        raise NotDone(f"{name} cannot be written: {error.strerror}", do="Name another file.") from None
