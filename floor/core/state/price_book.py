"""What the floor remembers of prices: which were in force, and from when on.

Never changes what was in force at a past moment. It is changed by floor.core.folds.prices alone.
"""

from bisect import bisect_right, insort
from dataclasses import dataclass, field
from datetime import datetime
from operator import itemgetter

from shared.events.prices import PricesSet
from shared.events.recorded import Fact
from shared.prices import PriceList

_when = itemgetter(0)


@dataclass(slots=True)
class PriceBook:
    """Every price list that the ledger knows."""

    told: list[tuple[datetime, int, PriceList]] = field(default_factory=list)
    """Since when each is in force, and the row that says so; of two at one moment the later row holds."""

    def tell(self, at: datetime, seq: int, prices: PriceList) -> None:
        """A price list is in force from a moment on.

        Lists in another currency have priced nothing: where anything was priced, the currency stays.
        """
        self.told = [each for each in self.told if each[2].currency == prices.currency]
        insort(self.told, (at, seq, prices), key=lambda each: each[:2])

    def at(self, moment: datetime) -> PriceList | None:
        """The prices in force at a moment; the first that are known hold for all the time before. None: none is."""
        index = bisect_right(self.told, moment, key=_when)
        return self.told[max(index - 1, 0)][2] if self.told else None

    def found(self, prices: PriceList, now: datetime) -> list[Fact]:
        """What is to be recorded when a shop file has these prices: nothing, where they are in force already."""
        if self.told and self.told[-1][2] == prices:
            return []
        return [Fact(event=PricesSet(prices=prices), occurred_at=now)]
