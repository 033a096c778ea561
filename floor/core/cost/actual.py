"""The actual cost: what the ledger shows went into each piece.

Never spreads what it cannot attribute: a piece bears what it used, a spoiled piece's cost is spoilage of its job.
"""

from datetime import datetime
from decimal import Decimal
from functools import cached_property

from floor.core.cost.blanks import purchase_costs
from floor.core.cost.quantities import blank, labour, machine, materials, overhead
from floor.core.ink.use import as_inked
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from floor.core.times.cycle import StepTime, Walks
from shared.files.shop import Shop
from shared.money import Charge, Costing
from shared.prices import PriceList


class Costs:
    """What went into the pieces of a floor.

    Everything at the prices that were in force when it was done; where the ledger knows none, at the shop file's.
    Good for as long as the floor does not move: one report, one page.
    """

    def __init__(self, walks: Walks, shop: Shop) -> None:
        self.floor = walks.floor
        self.walks = walks
        self._shop = shop
        self._setups: dict[tuple[str, int, str], Costing] = {}

    def of(self, piece: Piece) -> Costing:
        """Everything that went into a piece so far; nothing where no blank was drawn.

        Grams are the standard's; ink is as it was read, or as estimated and calibrated where it was not. Hands and
        machines are as floor.core.times has them. Worked out anew each time, for a week's charges are many.
        """
        if piece.drawn is None:
            return ()
        begun = [(n, time) for n, time in enumerate(self.walks.of(piece)) if time.started or time.over]
        drawn = self.prices_at(piece.drawn)
        setup = () if piece.spoiled else self._setup(piece)
        charges = [self._blank(piece, drawn), *setup]
        hands: dict[int, tuple[PriceList, list[Charge]]] = {id(drawn): (drawn, list(setup))}
        for n, time in begun:
            prices = self.prices_of(time)
            work = _work(prices, time)
            hands.setdefault(id(prices), (prices, []))[1].extend(work)
            charges += materials(prices, as_inked(self.floor, piece, n))
            charges += work
        return (*charges, *(overhead(prices, worked) for prices, worked in hands.values()))

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

    def _setup(self, piece: Piece) -> Costing:
        """The share of its line's setup as quoted, for no scan shows it; a spoiled piece leaves it to its remake."""
        key = piece.job, piece.line, piece.size
        if key not in self._setups:
            self._setups[key] = tuple(charge for charge in quoted(self.floor, piece) if charge.setup)
        return self._setups[key]

    def _blank(self, piece: Piece, prices: PriceList) -> Charge:
        """The blank as it was bought, or by the price list; as quoted where that no longer has the item."""
        cost = self._bought.get(piece.code)
        if cost is None:
            cost = prices.blank_cost(self.floor.line_of(piece).item, piece.size)
        if cost is None:
            return next(charge for charge in quoted(self.floor, piece) if charge.element == "garment")
        return blank(cost)


def labour_of(prices: PriceList, time: StepTime) -> Charge:
    """The hands of a step, at the rate of the badge that read it."""
    return labour(time.step, time.hands.seconds, prices.hands_hour(time.badge))


def _work(prices: PriceList, time: StepTime) -> list[Charge]:
    hands = labour_of(prices, time)
    if time.machine is None:
        return [hands]
    return [hands, machine(time.step, time.machine.seconds, prices.machine_hour(time.step.key, time.station))]


def spoilage(charges: Costing) -> Charge:
    """All that went into a spoiled piece, as one charge of its job."""
    lost = sum((charge.amount for charge in charges), Decimal(0))
    return Charge(element="spoilage", loss="spoiled piece", quantity=Decimal(1), price=lost)


def quoted(floor: Floor, piece: Piece) -> Costing:
    """The frozen quote of one good piece like this."""
    return floor.line_of(piece).quoted[piece.size]
