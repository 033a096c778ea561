"""What things cost from when on: prices are set, blanks come in.

Never touches a piece or a quote.
"""

from floor.core.folds.kinds import FOLDS
from floor.core.state.floor import Floor
from shared.events.prices import PricesSet, StockReceived
from shared.events.recorded import Recorded


@FOLDS.of(PricesSet)
def prices_set(floor: Floor, row: Recorded, event: PricesSet) -> None:
    floor.prices.tell(row.occurred_at, row.seq, event.prices)


@FOLDS.of(StockReceived)
def stock_received(floor: Floor, row: Recorded, event: StockReceived) -> None:
    floor.supplies.receipts.take_in(row.occurred_at, event)
