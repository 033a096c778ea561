"""Variance: why the actual cost differs from the quote, as price and quantity, to the cent.

Never leaves a rest: the variances of all elements add up to actual less flexed quote, as both are shown.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from msgspec import Struct

from shared.money import ELEMENTS, Charge, Element, by_element, rounded, shown

Flexed = tuple[Charge, int]
"""A charge of the quote, with the number of good pieces that it stands for."""


class Variance(Struct, frozen=True):
    """Above zero is adverse: it cost more. Price: AQ × (AP − SP); quantity: SP × (AQ − SQ)."""

    price: Decimal
    quantity: Decimal


class Compared(Struct, frozen=True, kw_only=True):
    """Quoted (flexed to the good pieces) and actual cost, element by element with their totals, and why they differ."""

    quoted: Mapping[str, str]
    actual: Mapping[str, str]
    variance: Mapping[Element, Variance]

    @property
    def total(self) -> Decimal:
        """Actual less quoted: the sum of all the variances."""
        return Decimal(self.actual["total"]) - Decimal(self.quoted["total"])


def compared(actual: Iterable[Charge], standard: Iterable[Flexed], unit: Decimal = Decimal("0.01")) -> Compared:
    """Actual charges held against a flexed quote.

    The price variance of a kind of charge is its actual amount less actual quantity × standard price; the quantity
    variance is all that remains, which is standard price × (actual quantity − standard quantity). What was not
    quoted, or has no quantity of its own (spoilage), is a quantity variance. Each element's price variance is
    rounded, and its quantity variance is what then remains of the difference that is shown.
    """
    done, planned = list(actual), list(standard)
    quoted_shown = shown(_flexed(planned), unit)
    actual_shown = shown(by_element(done), unit)
    price = _price_variance(_sums((charge, 1) for charge in done), _sums(planned))
    variance = {}
    for element in ELEMENTS:
        difference = Decimal(actual_shown[element]) - Decimal(quoted_shown[element])
        part = rounded(price[element], unit)
        variance[element] = Variance(price=part, quantity=difference - part)
    return Compared(quoted=quoted_shown, actual=actual_shown, variance=variance)


def _flexed(standard: Iterable[Flexed]) -> dict[Element, Decimal]:
    sums = dict.fromkeys(ELEMENTS, Decimal(0))
    for charge, times in standard:
        sums[charge.element] += charge.amount * times
    return sums


class _Sum(Struct):
    """Charges of one kind added up: the quantity, and the amount that it came to."""

    quantity: Decimal = Decimal(0)
    amount: Decimal = Decimal(0)


_Key = tuple[Element, str]


def _sums(charges: Iterable[Flexed]) -> dict[_Key, _Sum]:
    sums: dict[_Key, _Sum] = {}
    for charge, times in charges:
        total = sums.setdefault((charge.element, charge.what), _Sum())
        total.quantity += charge.quantity * times
        total.amount += charge.amount * times
    return sums


def _price_variance(done: Mapping[_Key, _Sum], planned: Mapping[_Key, _Sum]) -> dict[Element, Decimal]:
    price = dict.fromkeys(ELEMENTS, Decimal(0))
    for key, actual in done.items():
        standard = planned.get(key)
        if key[0] != "spoilage" and standard and standard.quantity:
            price[key[0]] += actual.amount - actual.quantity * standard.amount / standard.quantity
    return price
