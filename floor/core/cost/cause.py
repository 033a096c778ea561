"""The causes behind variances, in plain words: prices, times, ink, spoilage.

Never leaves an amount without a cause: all causes add up to actual less quoted.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from operator import attrgetter

from floor.core.cost.account import Entry
from floor.core.times.cycle import StepTime, Walks
from floor.core.times.share import Basis, Share
from shared.money import Element
from shared.route import InkName

PRICES = "prices of materials"
RATES = "rates of hands and machines"
SCANNED = "scanned times"
DERIVED = "derived times"
STANDARD = "standard times"
OVERHEAD = "overhead on hours"
INK_READ = "readings of ink"
INK_ESTIMATED = "estimates of ink"
MATERIALS = "materials used"
SET_UP = "setup"
ALLOWANCE = "spoilage allowance"
REST = "allowance for rest"
SPOILED_BEYOND = "less: spoilage beyond allowance"
BY_BASIS: Mapping[Basis, str] = {"seen": SCANNED, "measured": DERIVED, "shared": DERIVED, "standard": STANDARD}
"""A time by what it stands on."""
_HOURLY = {"labour", "machine", "overhead"}
_TIMED: Mapping[str, Callable[[StepTime], Share | None]] = {
    "labour": attrgetter("hands"),
    "machine": attrgetter("machine"),
}
"""The elements whose quantity is a time of a step, and which."""
_INKS: Mapping[str, InkName] = {"white_ink": "white", "colour_ink": "colour"}


def causes(walks: Walks, entries: Iterable[Entry]) -> dict[str, Decimal]:
    """What each cause comes to, exact; those that come to nothing are left out."""
    sums: dict[str, Decimal] = defaultdict(Decimal)
    for each in entries:
        price, quantity = each.difference.price, each.difference.quantity
        if price:
            sums[price_cause(each)] += price
        if quantity:
            sums[quantity_cause(walks, each)] += quantity
    return {cause: amount for cause, amount in sums.items() if amount}


def price_cause(entry: Entry) -> str:
    """Why its price is another."""
    return RATES if entry.difference.kind.element in _HOURLY else PRICES


def quantity_cause(walks: Walks, entry: Entry) -> str:
    """Why its quantity is another."""
    element = entry.difference.kind.element
    if element == "spoilage":
        return _of_spoilage(entry)
    if entry.difference.kind.setup:
        return SET_UP
    if element == "overhead":
        return OVERHEAD
    if element in _INKS:
        return _of_ink(walks, entry)
    if element == "labour" and not entry.difference.kind.step:
        return REST
    return _of_time(step_time(walks, entry), element) if element in _HOURLY else MATERIALS


def step_time(walks: Walks, entry: Entry) -> StepTime | None:
    """When the step was done that an entry belongs to; None where it belongs to none."""
    step = entry.step
    return None if entry.piece is None or step is None else walks.of(entry.piece)[step]


def _of_spoilage(entry: Entry) -> str:
    if entry.piece is not None and entry.piece.spoiled:
        return f"spoiled: {entry.piece.spoiled.reason}"
    return SPOILED_BEYOND if entry.difference.kind.loss == "beyond the allowance" else ALLOWANCE


def _of_ink(walks: Walks, entry: Entry) -> str:
    step = entry.step
    if entry.piece is None or step is None:
        return INK_ESTIMATED
    read = walks.floor.supplies.ink.readings_of(entry.piece.code, step)
    return INK_READ if _INKS[entry.difference.kind.element] in read else INK_ESTIMATED


def _of_time(time: StepTime | None, element: Element) -> str:
    share = share_of(time, element)
    return BY_BASIS[share.basis] if share else STANDARD


def share_of(time: StepTime | None, element: Element) -> Share | None:
    """What an element of a step's cost was worked out from; None of what no time is the quantity of."""
    return _TIMED[element](time) if time is not None and element in _TIMED else None
