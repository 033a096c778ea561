"""What a bench cannot use: kept beside its spool, with the reason, for a person to look at.

Never grows without end: of more than the limit, the older half goes.
"""

from collections.abc import Iterable
from datetime import datetime
from pathlib import Path

import msgspec

from scanners import durable

FILE_BYTES_MAX = 16 * 2**20
"""Beyond this the file becomes `PATH.old`, in place of the one before, and a new one is begun."""


class Aside:
    """A file of JSON lines: when it was set aside, why, and the record as it was found."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def add(self, records: Iterable[bytes], why: str, at: datetime) -> None:
        """Set records aside; they are on the disk when this returns. Raises OSError."""
        lines = [{"at": at, "why": why, "record": record.decode("utf-8", "backslashreplace")} for record in records]
        self._make_room()
        with self.path.open("ab", buffering=0) as file:
            durable.append(file, b"\n" + msgspec.json.Encoder().encode_lines(lines))
        durable.sync_folder(self.path.parent)

    def _make_room(self) -> None:
        if self.path.exists() and self.path.stat().st_size > FILE_BYTES_MAX:
            self.path.replace(self.path.with_name(f"{self.path.name}.old"))
