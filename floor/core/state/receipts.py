"""What the floor remembers of blanks: what came in, when, and at what cost.

Never knows what was drawn: that follows from the pieces. It is changed by floor.core.folds.prices alone.
"""

from bisect import bisect_left
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from shared.events.prices import StockReceived


class Blank(NamedTuple):
    """What a blank is."""

    item: str
    colour: str
    size: str


class BlankReceipt(NamedTuple):
    """So many blanks of one kind that came in together."""

    at: datetime
    quantity: int
    cost_each: Decimal


@dataclass(slots=True)
class Receipts:
    """Everything that came in, by blank, in the order of the moments."""

    of: dict[Blank, list[BlankReceipt]] = field(default_factory=dict)
    currencies: set[str] = field(default_factory=set)
    """Those in which something was bought."""

    def take_in(self, at: datetime, event: StockReceived) -> None:
        """Blanks came in; what is told again for the same moment takes the place of what was told before."""
        self.currencies.add(event.currency)
        known = self.of.setdefault(Blank(event.item, event.colour, event.size), [])
        index = bisect_left(known, (at,))
        same = index < len(known) and known[index].at == at
        known[index : index + same] = [BlankReceipt(at, event.quantity, event.cost_each)]
