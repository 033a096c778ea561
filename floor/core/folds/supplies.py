"""What happens to supplies: lots are opened, ink is read, refilled, measured and calibrated.

Never touches a piece.
"""

from floor.core.folds.kinds import FOLDS
from floor.core.state.floor import Floor
from floor.core.state.ink_book import Told, tell
from shared.events.recorded import Recorded
from shared.events.supplies import InkCalibrated, InkLevelRead, InkRead, InkRefilled, LotOpened


@FOLDS.of(LotOpened)
def lot_opened(floor: Floor, row: Recorded, event: LotOpened) -> None:
    floor.supplies.lots.open(row.occurred_at, row.seq, event)


@FOLDS.of(InkRead)
def ink_read(floor: Floor, row: Recorded, event: InkRead) -> None:
    floor.supplies.ink.read(event.piece, event.step, event.ink, Told(row.occurred_at, row.seq, event.ml))
    if row.read_id is not None:
        floor.supplies.ink.imported.add(row.read_id)
    if at := floor.pieces[event.piece].walk[event.step].over_at:
        floor.closed_weeks.touch(at)


@FOLDS.of(InkRefilled)
def ink_refilled(floor: Floor, row: Recorded, event: InkRefilled) -> None:
    tell(floor.supplies.ink.refills, event.ink, Told(row.occurred_at, row.seq, event.ml))


@FOLDS.of(InkLevelRead)
def ink_level_read(floor: Floor, row: Recorded, event: InkLevelRead) -> None:
    tell(floor.supplies.ink.levels, event.ink, Told(row.occurred_at, row.seq, event.ml))


@FOLDS.of(InkCalibrated)
def ink_calibrated(floor: Floor, row: Recorded, event: InkCalibrated) -> None:
    tell(floor.supplies.ink.factors, event.ink, Told(row.occurred_at, row.seq, event.factor))
