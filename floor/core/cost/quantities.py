"""Quantities at prices: the charges of one step, alike for a quote and for what was done.

Never rounds money. Quantities are kept to a billionth, so that every product and sum of charges is exact.
"""

from collections.abc import Iterable, Iterator
from decimal import Decimal
from functools import lru_cache

from shared.money import Charge, Element, measured
from shared.prices import PriceList
from shared.route import Step


@lru_cache(maxsize=1_000)
def hours(seconds: float) -> Decimal:
    """Seconds as hours, to a billionth. Most are standards, which come again and again."""
    return measured(Decimal(repr(seconds)) / 3600)


def blank(cost: Decimal) -> Charge:
    """The blank that a piece is made from."""
    return Charge(element="garment", quantity=Decimal(1), price=cost)


def _of_step(element: Element, step: Step, quantity: Decimal, price: Decimal, *, setup: bool = False) -> Charge:
    return Charge(element=element, step=step.key, place=step.place, setup=setup, quantity=quantity, price=price)


def materials(prices: PriceList, step: Step) -> Iterator[Charge]:
    """What one pass through a step uses up."""
    uses = step.uses
    used: list[tuple[Element, Decimal, Decimal]] = [
        ("pretreat", uses.pretreat_g, prices.pretreat_per_kg / 1000),
        ("white_ink", uses.white_ml, prices.white_ink_per_ml),
        ("colour_ink", uses.colour_ml, prices.colour_ink_per_ml),
        ("consumables", Decimal(uses.consumables != 0), uses.consumables),
    ]
    for element, quantity, price in used:
        if quantity:
            yield _of_step(element, step, measured(quantity), price)


def labour(step: Step, touch_s: float, rate: Decimal) -> Charge:
    """A person's time at an hourly rate."""
    return _of_step("labour", step, hours(touch_s), rate)


def machine(step: Step, machine_s: float, rate: Decimal) -> Charge:
    """A machine's time at an hourly rate."""
    return _of_step("machine", step, hours(machine_s), rate)


def setup(step: Step, quantity: int, labour_rate: Decimal, machine_rate: Decimal) -> Iterator[Charge]:
    """What it takes to get ready for a line, once, as the share of each of its pieces: hands, and their machine."""
    if not step.setup_s:
        return
    share = measured(Decimal(repr(step.setup_s)) / 3600 / quantity)
    yield _of_step("labour", step, share, labour_rate, setup=True)
    if step.has_machine:
        yield _of_step("machine", step, share, machine_rate, setup=True)


def overhead(prices: PriceList, charges: Iterable[Charge]) -> Charge:
    """Overhead, for each labour hour among the charges."""
    labour_hours = sum((charge.quantity for charge in charges if charge.element == "labour"), Decimal(0))
    return Charge(element="overhead", quantity=labour_hours, price=prices.overhead_per_labour_hour)
