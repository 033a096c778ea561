"""The time of day, as something that is handed in.

Never measures how long something took inside one process: time.monotonic does, which nobody can set.
"""

from datetime import UTC, datetime, timedelta
from threading import Lock
from typing import Protocol


class Clock(Protocol):
    """Tells the time of day."""

    def now(self) -> datetime:
        """The present moment, UTC, with its time zone. May be called from any thread."""
        ...


class SystemClock:
    """The computer's own clock."""

    def now(self) -> datetime:
        """The present moment, UTC."""
        return datetime.now(UTC)


class SetClock:
    """A clock that stands where it was set, for tests and for days that are played faster than life."""

    def __init__(self, moment: datetime) -> None:
        self._lock = Lock()
        self._moment = _utc(moment)

    def now(self) -> datetime:
        """The moment that was set, UTC."""
        return self._moment

    def set(self, moment: datetime) -> None:
        """Stand at another moment, later or earlier. Raises ValueError without a time zone."""
        with self._lock:
            self._moment = _utc(moment)

    def advance(self, by: timedelta) -> datetime:
        """Move on, and give back the new moment."""
        with self._lock:
            self._moment += by
            return self._moment


def _utc(moment: datetime) -> datetime:
    if moment.tzinfo is None:
        raise ValueError(f"a clock was set to {moment}, which has no time zone; use UTC")
    return moment.astimezone(UTC)
