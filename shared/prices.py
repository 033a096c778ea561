"""A price list: all that costing needs of the shop file, as plain data that a ledger can keep.

Never knows a quantity: floor.core.cost does.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from msgspec import Struct


class PriceList(Struct, frozen=True, kw_only=True):
    """Prices and rates, in one currency."""

    currency: str
    labour_per_hour: Decimal
    overhead_per_labour_hour: Decimal
    pretreat_per_kg: Decimal
    white_ink_per_ml: Decimal
    colour_ink_per_ml: Decimal
    blanks: Mapping[str, Decimal]
    """By item: what a blank costs."""
    blank_sizes: Mapping[str, Mapping[str, Decimal]]
    """By item and size: what it costs in sizes that have a cost of their own."""
    hands: Mapping[str, Decimal]
    """By badge that has a rate of its own: what an hour costs."""
    machines: Mapping[str, Decimal]
    """By station: what an hour costs."""
    steps: Mapping[str, Decimal]
    """By step: what an hour costs at the first station that does it."""

    def blank_cost(self, item: str, size: str) -> Decimal | None:
        """What a blank costs; None for an item that is not in the list."""
        return self.blank_sizes.get(item, {}).get(size, self.blanks.get(item))

    def hands_hour(self, badge: str | None = None) -> Decimal:
        """What an hour of a pair of hands costs; the shop's rate where the badge has none or is not known."""
        return self.hands.get(badge or "", self.labour_per_hour)

    def burdened_hour(self, badge: str | None = None) -> Decimal:
        """The same, with the overhead that each hour of hands bears."""
        return self.hands_hour(badge) + self.overhead_per_labour_hour

    def machine_hour(self, step: str, station: str | None = None) -> Decimal:
        """What an hour of the machine for a step costs: at the station, or at the first that does the step."""
        return self.machines.get(station or "", self.steps.get(step, Decimal(0)))

    def opening_hour(self, badges: Iterable[str]) -> Decimal:
        """What an hour costs in which the whole shop is there: these pairs of hands, and every machine."""
        return sum(map(self.burdened_hour, badges), Decimal(0)) + sum(self.machines.values(), Decimal(0))
