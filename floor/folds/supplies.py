"""What happens to supplies: lots are opened.

Never touches a piece.
"""

from floor.folds.kinds import Folds
from floor.state import Floor
from shared.events import LotOpened, Recorded


def lot_opened(floor: Floor, row: Recorded, event: LotOpened) -> None:
    floor.supplies.lots.open(row.occurred_at, row.seq, event)


FOLDS: Folds = {LotOpened: lot_opened}
