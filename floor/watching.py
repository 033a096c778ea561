"""A floor that is only watched: it follows a ledger that others write.

Never writes, and never hides that what it shows is old: the board's moment tells its age.
"""

from floor.board import Board, board
from floor.fold import fold_all
from floor.ledger import Ledger, LedgerError
from floor.state import Floor
from shared.clock import Clock
from shared.shop import Shop


class Watcher:
    """Keeps a floor as new as the ledger, each time the board is asked for."""

    def __init__(self, ledger: Ledger, shop: Shop, clock: Clock) -> None:
        self._ledger = ledger
        self._shop = shop
        self._clock = clock
        self._floor = Floor()
        self._newest: Board | None = None

    def board(self) -> Board:
        """The board now; the last one that could be had when the ledger cannot be read just now.

        Raises a LedgerError when it could never be read.
        """
        try:
            fold_all(self._ledger.rows(after=self._floor.seq), self._floor)
        except LedgerError:
            if self._newest is None:
                raise
            return self._newest
        self._newest = board(self._floor, self._shop, self._clock.now())
        return self._newest
