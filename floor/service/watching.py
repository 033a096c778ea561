"""A floor that is only watched: it follows a ledger that others write, so that no scan waits for whoever looks.

Never writes, and never hides that what it shows is old: the board's moment tells its age, or an alarm does.
"""

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from threading import RLock

from floor.core.folds.fold import fold, fold_all
from floor.core.plan.board import Board, board
from floor.core.state.floor import Floor
from floor.ledger import Ledger, LedgerError
from shared.clock import Clock
from shared.events.recorded import Recorded
from shared.files.shop import Shop

HANDED_MAX = 10_000
"""Of more rows that nobody has looked at the oldest are forgotten, and read from the ledger."""


class Watcher:
    """Keeps a floor as new as the ledger, each time it is looked at."""

    def __init__(self, ledger: Ledger, shop: Shop, clock: Clock) -> None:
        self._ledger = ledger
        self._shop = shop
        self._clock = clock
        self._floor = Floor()
        self._handed: deque[Recorded] = deque(maxlen=HANDED_MAX)
        """Rows that were handed over in memory; where one is missing, the ledger has it."""
        self._newest: Board | None = None
        self._one_at_a_time = RLock()

    def hand(self, rows: Iterable[Recorded]) -> None:
        """Take over rows that are durable, so that they need not be read and decoded again. From any thread."""
        self._handed.extend(rows)

    @contextmanager
    def looking(self, tell: Callable[[LedgerError], None] | None = None) -> Iterator[Floor]:
        """The floor as the ledger has it, standing still while it is held; for threads that may wait.

        When the ledger cannot be read, whoever would `tell` that it is old gets the floor as it was last; nobody else.
        Raises a LedgerError then, or where it could never be read.
        """
        with self._one_at_a_time:
            self._fold_handed()
            try:
                fold_all(self._ledger.rows(after=self._floor.seq), self._floor)
            except LedgerError as error:
                if tell is None or not self._floor.seq:
                    raise
                tell(error)
            yield self._floor

    def _fold_handed(self) -> None:
        while self._handed and self._handed[0].seq <= self._floor.seq + 1:
            fold(self._floor, self._handed.popleft())

    def board(self) -> Board:
        """The board now; the last one that could be had when the ledger cannot be read just now.

        Raises a LedgerError when it could never be read.
        """
        try:
            with self.looking() as floor:
                self._newest = board(floor, self._shop, self._clock.now())
        except LedgerError:
            if self._newest is None:
                raise
        return self._newest
