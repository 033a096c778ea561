"""Long work of the floor itself, such as a backup, that is looked at each minute and done when it is due.

Never on the ledger's writer thread, and never twice at a time.
"""

from collections.abc import Callable
from datetime import datetime
from threading import Event, Lock

from floor.ledger import LedgerError, Stopped
from shared.clock import Clock

STOP_S = 10
"""How long work may take to notice that the floor is closing."""


class Chore:
    """Work that sees by itself whether it is due. `look` may be called as often as one likes, by any thread."""

    def __init__(self, work: Callable[[datetime], None], clock: Clock, on_failure: Callable[[Exception], None]) -> None:
        self._work = work
        self._clock = clock
        self._on_failure = on_failure
        self._stopping = Event()
        self._busy = Lock()
        self._failed_in: datetime | None = None
        """The hour in which it failed last: it is tried again in another one."""

    def look(self) -> None:
        """Do it if it is due and nobody is at it; a failure is told, and tried again after the next full hour."""
        now = self._clock.now()
        if _hour(now) == self._failed_in or not self._busy.acquire(blocking=False):
            return
        try:
            self._work(now)
            self._failed_in = None
        except Stopped:
            return
        except (LedgerError, OSError) as error:
            self._failed_in = _hour(now)
            self._on_failure(error)
        finally:
            self._busy.release()

    def go_on(self) -> None:
        """For long work to call now and then. Raises Stopped when the floor is closing."""
        if self._stopping.is_set():
            raise Stopped("the floor is closing: this is done at the next start")

    def stop(self) -> None:
        """Give up what is under way; it is done at the next start."""
        self._stopping.set()
        if self._busy.acquire(timeout=STOP_S):
            self._busy.release()


def _hour(moment: datetime) -> datetime:
    return moment.replace(minute=0, second=0, microsecond=0)
