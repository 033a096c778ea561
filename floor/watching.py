"""A floor that is only watched: it follows a ledger that others write, so that no scan waits for whoever looks.

Never writes, and never hides that what it shows is old: the board's moment tells its age.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from threading import RLock

from floor.board import Board, board
from floor.fold import fold_all
from floor.ledger import Ledger, LedgerError
from floor.state import Floor
from shared.clock import Clock
from shared.shop import Shop


class Watcher:
    """Keeps a floor as new as the ledger, each time it is looked at."""

    def __init__(self, ledger: Ledger, shop: Shop, clock: Clock) -> None:
        self._ledger = ledger
        self._shop = shop
        self._clock = clock
        self._floor = Floor()
        self._newest: Board | None = None
        self._one_at_a_time = RLock()

    @contextmanager
    def looking(self) -> Iterator[Floor]:
        """The floor as the ledger has it, standing still while it is held; for threads that may wait.

        Raises a LedgerError when the ledger cannot be read.
        """
        with self._one_at_a_time:
            fold_all(self._ledger.rows(after=self._floor.seq), self._floor)
            yield self._floor

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
