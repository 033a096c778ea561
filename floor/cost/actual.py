"""The actual cost: what the ledger shows went into each piece.

Never spreads what it cannot attribute: a piece bears what it used, a spoiled piece's cost is spoilage of its job.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime
from decimal import Decimal
from functools import cached_property
from typing import NamedTuple

from floor.cost.blanks import purchase_costs
from floor.cost.quantities import blank, is_setup, labour, machine, materials, overhead
from floor.cycle import StepTime, Walks
from floor.ink.use import as_inked
from floor.state import Floor, Piece
from shared.money import Charge, Costing
from shared.prices import PriceList
from shared.shop import Shop


class Spent(NamedTuple):
    """A charge, and the index of the step that caused it; None is the piece as a whole."""

    charge: Charge
    step: int | None


class Costs:
    """What went into the pieces of a floor.

    Everything at the prices that were in force when it was done; where the ledger knows none, at the shop file's.
    Good for as long as the floor does not move: one report, one page.
    """

    def __init__(self, walks: Walks, shop: Shop) -> None:
        self.floor = walks.floor
        self.walks = walks
        self._shop = shop

    def spent(self, piece: Piece) -> list[Spent]:
        """Everything that went into a piece so far, and what for; nothing where no step has been begun.

        For then no blank was drawn. Grams are the standard's; ink is as it was read, or as estimated and calibrated
        where it was not. Hands are measured on `hand` steps, machines on the others; where the ledger does not show a
        time, the standard stands in. Worked out anew each time, for a week's charges are many.
        """
        return list(self._spent(piece))

    def of(self, piece: Piece) -> Costing:
        """The same, as charges."""
        return tuple(each.charge for each in self.spent(piece))

    def prices_at(self, moment: datetime) -> PriceList:
        """The prices that were in force at a moment."""
        return self.floor.prices.at(moment) or self._shop.price_list

    def prices_of(self, time: StepTime) -> PriceList:
        """The prices that were in force when a step was done, or begun."""
        moment = time.over or time.started
        assert moment is not None, "only of steps that were begun"
        return self.prices_at(moment)

    @cached_property
    def _bought(self) -> dict[str, Decimal]:
        return purchase_costs(self.floor)

    def _spent(self, piece: Piece) -> Iterator[Spent]:
        begun = [(n, time) for n, time in enumerate(self.walks.of(piece)) if time.started or time.over]
        if not begun:
            return
        drawn = self.prices_at(piece.facts[0].occurred_at)
        setup = _setup(self.floor, piece)
        hands: list[tuple[PriceList, Charge]] = [(drawn, charge) for charge in setup]
        for charge in (self._blank(piece, drawn), *setup):
            yield Spent(charge, None)
        for n, time in begun:
            prices = self.prices_of(time)
            for charge in (*materials(prices, as_inked(self.floor, piece, n)), *_work(prices, time)):
                yield Spent(charge, n)
                hands.append((prices, charge))
        for charge in _overhead(hands):
            yield Spent(charge, None)

    def _blank(self, piece: Piece, prices: PriceList) -> Charge:
        """The blank as it was bought, or by the price list; as quoted where that no longer has the item."""
        cost = self._bought.get(piece.code)
        if cost is None:
            cost = prices.blank_cost(self.floor.jobs[piece.job].line(piece.line).item, piece.size)
        if cost is None:
            return next(charge for charge in quoted(self.floor, piece) if charge.element == "garment")
        return blank(cost)


def used(floor: Floor, shop: Shop, piece: Piece) -> Costing:
    """Everything that went into one piece so far; for several ask one `Costs`."""
    return Costs(Walks(floor), shop).of(piece)


def _setup(floor: Floor, piece: Piece) -> Costing:
    """The share of its line's setup as it was quoted, for no scan shows it; a spoiled piece leaves it to its remake."""
    return () if piece.spoiled else tuple(charge for charge in quoted(floor, piece) if is_setup(charge))


def labour_of(prices: PriceList, time: StepTime) -> Charge:
    """The hands of a step: measured where they alone work, the standard where they serve a machine."""
    step, rate = time.step, prices.rate_of(time.badge)
    measured_s = _measured_s(time) if step.kind == "hand" else None
    return labour(step, step.touch_s if measured_s is None else measured_s, rate)


def _work(prices: PriceList, time: StepTime) -> Iterator[Charge]:
    step = time.step
    yield labour_of(prices, time)
    if step.kind != "hand":
        yield machine(step, _machine_s(time), prices.machine_rate(step.key, time.station))


def _measured_s(time: StepTime) -> float | None:
    return time.processing.total_seconds() if time.processing is not None else None


def _machine_s(time: StepTime) -> float:
    """A press runs from closed to opened; another machine runs for what is left when the hands have loaded it."""
    step, measured_s = time.step, _measured_s(time)
    if measured_s is None:
        return step.machine_s + step.min_s
    return measured_s if step.scans == "in_out" else max(measured_s - step.touch_s, 0.0)


def _overhead(charges: Sequence[tuple[PriceList, Charge]]) -> Iterator[Charge]:
    """Overhead on the labour hours, at the rate that was in force when they were worked."""
    for prices in {id(prices): prices for prices, _ in charges}.values():
        yield overhead(prices, (charge for its, charge in charges if its is prices))


def spoilage(charges: Costing) -> Charge:
    """All that went into a spoiled piece, as one charge of its job."""
    lost = sum((charge.amount for charge in charges), Decimal(0))
    return Charge(element="spoilage", what="spoiled piece", quantity=Decimal(1), price=lost)


def quoted(floor: Floor, piece: Piece) -> Costing:
    """The frozen quote of one good piece like this."""
    return floor.jobs[piece.job].line(piece.line).quoted[piece.size]
