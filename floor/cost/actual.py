"""The actual cost: what the ledger shows went into each piece.

Never spreads what it cannot attribute: a piece bears what it used, a spoiled piece's cost is spoilage of its job.
"""

from collections.abc import Iterator
from decimal import Decimal

from floor.cost.quantities import blank, is_setup, labour, machine, materials, overhead
from floor.cycle import StepTime, step_times
from floor.state import Floor, Piece
from shared.money import Charge, Costing
from shared.shop import Shop


def used(floor: Floor, shop: Shop, piece: Piece) -> Costing:
    """Everything that went into a piece so far; nothing where no step has been begun, for then no blank was drawn.

    Grams and ink are the standard's where there is no reading. Hands are measured on `hand` steps, machines on the
    others; where the ledger does not show a time, the standard stands in.
    """
    begun = [time for time in step_times(floor, piece) if time.started or time.done or time.assumed]
    if not begun:
        return ()
    charges = [_blank(floor, shop, piece), *_setup(floor, piece)]
    for time in begun:
        charges += [*materials(shop, time.step), *_work(shop, time)]
    return (*charges, overhead(shop, charges))


def _blank(floor: Floor, shop: Shop, piece: Piece) -> Charge:
    """The blank at the shop file's cost; at the quoted one when the shop no longer has the item."""
    item = floor.jobs[piece.job].line(piece.line).item
    if item in shop.file.items:
        return blank(shop, item, piece.size)
    return next(charge for charge in quoted(floor, piece) if charge.element == "garment")


def _setup(floor: Floor, piece: Piece) -> Costing:
    """The share of its line's setup as it was quoted, for no scan shows it; a spoiled piece leaves it to its remake."""
    return () if piece.spoiled else tuple(charge for charge in quoted(floor, piece) if is_setup(charge))


def _work(shop: Shop, time: StepTime) -> Iterator[Charge]:
    step = time.step
    measured_s = time.processing.total_seconds() if time.processing is not None else None
    rate = shop.rate_of(time.badge)
    if step.kind == "hand":
        yield labour(step, step.touch_s if measured_s is None else measured_s, rate)
        return
    yield labour(step, step.touch_s, rate)
    yield machine(step, _machine_s(time, measured_s), shop.machine_rate(step.key, time.station))


def _machine_s(time: StepTime, measured_s: float | None) -> float:
    """A press runs from closed to opened; another machine runs for what is left when the hands have loaded it."""
    step = time.step
    if measured_s is None:
        return step.machine_s + step.min_s
    return measured_s if step.scans == "in_out" else max(measured_s - step.touch_s, 0.0)


def spoilage(charges: Costing) -> Charge:
    """All that went into a spoiled piece, as one charge of its job."""
    lost = sum((charge.amount for charge in charges), Decimal(0))
    return Charge(element="spoilage", what="spoiled piece", quantity=Decimal(1), price=lost)


def quoted(floor: Floor, piece: Piece) -> Costing:
    """The frozen quote of one good piece like this."""
    return floor.jobs[piece.job].line(piece.line).quoted[piece.size]
