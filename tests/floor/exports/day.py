"""A day on the floor with one of everything that an export must tell, and ledgers of what was played.

Never exports anything.
"""

from zoneinfo import ZoneInfo

from floor.ledger import Ledger, MemoryLedger
from floor.ledger.row import Row
from shared.codes import CodeType
from shared.events.recorded import fact_of
from shared.files.cards import UNDO
from tests.making import DARK_WALK, Play, card, large_shop, walk

NEW_YORK = ZoneInfo("America/New_York")
UNDO_CARD = card(CodeType.COMMAND, UNDO)
STAIN = card(CodeType.REASON, "stain")


class Day:
    """Four dark garments, each with a fate of its own, and a light one that is printed in two places."""

    def __init__(self) -> None:
        self.play = Play(large_shop())
        self.walked, self.undone, self.saved, self.spoiled = self.play.job(sizes={"M": 4})
        (self.both_sides,) = self.play.job(colour="white", places=("front", "back"))
        walk(self.play, self.walked)
        self._undo_a_step_after_one_that_nobody_scanned()
        self._spoil_and_think_better_of_it()
        self.remake = self._spoil()
        walk(self.play, self.both_sides, [("printer 2", 90), ("press 2", 20), ("press 2", 200), ("printer 2", 90)])

    def _undo_a_step_after_one_that_nobody_scanned(self) -> None:
        self.play.scan(self.undone, "printer 1")
        self.play.scan(UNDO_CARD, "printer 1", after_s=5)

    def _spoil_and_think_better_of_it(self) -> None:
        self.play.scan(self.saved, "pretreat booth")
        self.play.spoil(self.saved, "pretreat booth")
        self.play.scan(UNDO_CARD, "pretreat booth", after_s=5)

    def _spoil(self) -> str:
        self.play.scan(self.spoiled, "pretreat booth")
        remake = self.play.spoil(self.spoiled, "pretreat booth").remake
        assert remake is not None
        walk(self.play, remake, DARK_WALK[:2])
        return remake

    @property
    def ledger(self) -> Ledger:
        """What was recorded that day."""
        return ledger_of(self.play)


def ledger_of(play: Play) -> Ledger:
    """A ledger with the rows that were played."""
    ledger = MemoryLedger()
    with ledger.transaction() as transaction:
        for row in play.rows:
            transaction.append([fact_of(row)], row.recorded_at)
    return ledger


def row_of(ledger: Ledger, seq: int) -> Row:
    """One row as it is stored."""
    return next(ledger.stored(seq - 1, seq))
