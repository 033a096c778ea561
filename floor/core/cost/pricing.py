"""Prices: what a line must be charged for a margin, and what margin a price gives.

Never rounds a price down: the margin that was asked for is met.
"""

from decimal import Decimal

from shared.files.jobfile import JobFile
from shared.files.pricing import break_for
from shared.files.shop import Shop
from shared.money import rounded


def margin_share(price: Decimal, cost: Decimal) -> Decimal | None:
    """The contribution margin ratio, (price − cost) / price, to a hundredth of a per cent; None for a price of nothing.

    Any textbook of cost accounting has it.
    """
    return rounded((price - cost) / price, Decimal("0.0001")) if price else None


def rounded_up(amount: Decimal, unit: Decimal) -> Decimal:
    """An amount to a whole number of units, upwards."""
    return _units(amount, unit) * unit


def _units(amount: Decimal, each: Decimal) -> Decimal:
    """How many of each it takes to make up an amount: a division upwards, which divmod does without rounding."""
    whole, rest = divmod(amount, each)
    return whole + (rest > 0)


def price_for(cost: Decimal, quantity: int, margin: Decimal, unit: Decimal) -> Decimal:
    """The least price of each, in whole units, at which pieces that cost so much together leave such a margin.

    cost / (1 − margin) for all of them. `margin` is a share of the price, below 1.
    """
    return _units(cost, quantity * (1 - margin) * unit) * unit


def listed_price(shop: Shop, item: str, quantity: int, cost: Decimal) -> Decimal:
    """What the shop file charges for each of so many pieces that cost so much together: margin, less the break.

    Raises ValueError where the shop file makes no price: a job file that needs one is refused before.
    """
    reached = break_for(shop.file.breaks, item, quantity)
    if reached and reached.price_each is not None:
        return reached.price_each
    if shop.prices.margin is None:
        raise ValueError("the shop file has no margin, and the line no price")
    full = price_for(cost, quantity, shop.prices.margin, shop.unit)
    return rounded_up(full * (1 - reached.off), shop.unit) if reached and reached.off else full


def at_margin(shop: Shop, margin: Decimal) -> Shop:
    """A shop that prices everything for one margin, and gives nothing off."""
    prices = shop.prices.model_copy(update={"margin": margin})
    return Shop(shop.file.model_copy(update={"prices": prices, "breaks": []}))


def without_prices(job: JobFile) -> JobFile:
    """A job whose prices are left to the shop file."""
    lines = [line.model_copy(update={"price_each": None}) for line in job.lines]
    return job.model_copy(update={"lines": lines})
