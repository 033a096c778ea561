"""The part of the ledger that an export is asked for.

Never reads it.
"""

from collections.abc import Iterable, Iterator
from datetime import datetime

from msgspec import Struct

from shared.events.recorded import Recorded


class Window(Struct, frozen=True):
    """From one moment on and before another, by when a thing happened; None is no bound."""

    since: datetime | None = None
    until: datetime | None = None

    def holds(self, row: Recorded) -> bool:
        """Whether a row is asked for."""
        at = row.occurred_at
        return (self.since is None or self.since <= at) and (self.until is None or at < self.until)

    def of(self, rows: Iterable[Recorded]) -> Iterator[Recorded]:
        """The rows that are asked for."""
        return filter(self.holds, rows)


EVERYTHING = Window()
