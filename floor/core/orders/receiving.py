"""Blanks that come in: what was received, as an event.

Never records: the fact it returns becomes true when the ledger has it.
"""

from collections.abc import Collection, Sequence
from datetime import datetime
from decimal import Decimal

from msgspec import Struct

from floor.core.cost.blanks import OnHand, on_hand
from floor.core.state.floor import Floor
from shared.events.prices import StockReceived
from shared.events.recorded import Fact
from shared.files.near import did_you_mean
from shared.files.shop import Shop
from shared.wish import NotPossible

COST_MAX = Decimal(1_000_000)
"""As in the shop file: what costs more each is a slip of the pen."""


class StockAnswer(Struct, frozen=True, kw_only=True):
    """What is on hand of every blank that ever came in, and what all of it is worth, in the currency."""

    currency: str
    blanks: Sequence[OnHand]
    worth: Decimal


def receive(shop: Shop, event: StockReceived, at: datetime) -> Fact:
    """Blanks came in at a moment; told again for it, they are corrected. Raises NotPossible."""
    if why := _why_not(shop, event):
        raise NotPossible(why)
    return Fact(event=event, occurred_at=at)


def _why_not(shop: Shop, event: StockReceived) -> str | None:
    item = shop.file.items.get(event.item)
    if item is None:
        return f"There is no item {event.item!r}; items here: {_listed(shop.file.items, event.item)}"
    if event.colour not in item.shades:
        return f"{event.item!r} has no colour {event.colour!r}; it has: {_listed(item.shades, event.colour)}"
    if item.sizes and event.size not in item.sizes:
        return f"{event.item!r} has no size {event.size!r}; it has: {_listed(item.sizes, event.size)}"
    if not 0 <= event.cost_each <= COST_MAX:
        return f"No blank costs {event.cost_each}. Say what one cost, from 0 to {COST_MAX}."
    return None


def _listed(known: Collection[str], name: str) -> str:
    return f"{', '.join(known)}.{did_you_mean(name, known)}"


def stock_answer(floor: Floor, currency: str) -> StockAnswer:
    """What is on hand of every blank that ever came in."""
    blanks = on_hand(floor)
    worth = sum((each.worth for each in blanks), Decimal(0))
    return StockAnswer(currency=currency, blanks=blanks, worth=worth)
