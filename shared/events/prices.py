"""What things cost, and from when on: the shop file's prices, and blanks as they were bought.

Never touches a quote: those are frozen with their jobs.
"""

from decimal import Decimal

from shared.events.base import Event
from shared.prices import PriceList


class PricesSet(Event, frozen=True, kw_only=True, tag="prices set"):
    """From now on these prices are in force: the floor found them in its shop file, and they were not those before."""

    prices: PriceList


class StockReceived(Event, frozen=True, kw_only=True, tag="stock received"):
    """So many blanks came in at a cost; told again for the same moment, it is corrected."""

    item: str
    colour: str
    size: str
    quantity: int
    cost_each: Decimal
    currency: str

    @property
    def stream(self) -> str:
        return f"stock {self.item}"
