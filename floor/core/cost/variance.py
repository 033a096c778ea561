"""Variance: why the actual cost differs from the quote, as price and quantity, to the cent.

Never leaves a rest: the variances of all elements add up to actual less flexed quote, as both are shown.
"""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from msgspec import Struct

from shared.money import ELEMENTS, Charge, ChargeKind, Element, rounded, rounded_parts, shown

Flexed = tuple[Charge, int]
"""A charge of the quote, with the number of good pieces that it stands for."""


class Sum(Struct, gc=False):
    """Charges of one kind added up: the quantity, the amount that it came to, and the price of the last of them."""

    quantity: Decimal = Decimal(0)
    amount: Decimal = Decimal(0)
    price: Decimal | None = None
    """None where they differ in their price."""

    def add(self, charge: Charge, times: int) -> None:
        """One more charge, so many times."""
        self.price = charge.price if self.price == charge.price or not self.quantity else None
        self.quantity += charge.quantity * times
        self.amount += charge.amount * times

    @property
    def mean_price(self) -> Decimal:
        """The price, or the mean one where there are several. Raises ZeroDivisionError for a quantity of nothing."""
        return self.amount / self.quantity if self.price is None else self.price


Sums = Mapping[ChargeKind, Sum]
NO_CHARGES = Sum()
ZERO = Decimal(0)


def sums_of(charges: Iterable[Flexed]) -> Sums:
    """Charges added up by their kind."""
    sums: dict[ChargeKind, Sum] = {}
    for charge, times in charges:
        kind = charge.kind
        if kind in sums:
            sums[kind].add(charge, times)
        else:
            sums[kind] = Sum(charge.quantity * times, charge.amount * times, charge.price)
    return sums


class Difference(Struct, frozen=True, gc=False):
    """Charges of one kind: as they were, and as they should have been; why the two differ. Above zero is adverse.

    The price variance is the actual amount less actual quantity × standard price, AQ × (AP − SP). The quantity variance
    is all that remains, which is SP × (AQ − SQ). What was not quoted, or has no quantity of its own (spoilage), is a
    quantity variance. Any textbook of cost accounting has both.
    """

    kind: ChargeKind
    actual: Sum
    standard: Sum
    price: Decimal
    quantity: Decimal

    @property
    def total(self) -> Decimal:
        """Actual less standard amount."""
        return self.actual.amount - self.standard.amount


def difference(kind: ChargeKind, actual: Sum, standard: Sum) -> Difference:
    """What charges of one kind came to, against what they should have."""
    total = actual.amount - standard.amount
    alike = actual.price is not None and actual.price == standard.price
    if alike or kind.element == "spoilage" or not standard.quantity:
        return Difference(kind, actual, standard, ZERO, total)
    price = actual.amount - actual.quantity * standard.mean_price
    return Difference(kind, actual, standard, price, total - price)


def differences(actual: Sums, standard: Sums) -> list[Difference]:
    """Every kind of charge that there was, or should have been."""
    return [
        difference(kind, actual.get(kind, NO_CHARGES), standard.get(kind, NO_CHARGES))
        for kind in {**standard, **actual}
    ]


class Variance(Struct, frozen=True):
    """Above zero is adverse: it cost more. Price: AQ × (AP − SP); quantity: SP × (AQ − SQ)."""

    price: Decimal
    quantity: Decimal


class Compared(Struct, frozen=True, kw_only=True):
    """Quoted (flexed to the good pieces) and actual cost, element by element with their totals, and why they differ."""

    quoted: Mapping[str, Decimal]
    actual: Mapping[str, Decimal]
    variance: Mapping[Element, Variance]

    @property
    def total(self) -> Decimal:
        """Actual less quoted: the sum of all the variances."""
        return self.actual["total"] - self.quoted["total"]


def compared(found: Iterable[Difference], unit: Decimal = Decimal("0.01")) -> Compared:
    """Differences added up, as they are shown.

    The variances are rounded from exact ones, so that they add up to the difference of the rounded totals; what is
    exactly nothing stays so. What an element actually cost is its quote and its variances, as they are shown.
    """
    planned, done, price = (dict.fromkeys(ELEMENTS, ZERO) for _ in range(3))
    for each in found:
        planned[each.kind.element] += each.standard.amount
        done[each.kind.element] += each.actual.amount
        price[each.kind.element] += each.price
    quoted = shown(planned, unit)
    total = rounded(sum(done.values(), ZERO), unit)
    quantity = [done[element] - planned[element] - price[element] for element in ELEMENTS]
    parts = _nothing_stays_nothing(total - quoted["total"], [*price.values(), *quantity], unit)
    variance = dict(zip(ELEMENTS, map(Variance, parts[: len(ELEMENTS)], parts[len(ELEMENTS) :]), strict=True))
    actual = {str(element): quoted[element] + each.price + each.quantity for element, each in variance.items()}
    return Compared(quoted=quoted, actual={**actual, "total": total}, variance=variance)


def _nothing_stays_nothing(figure: Decimal, exact: Sequence[Decimal], unit: Decimal) -> list[Decimal]:
    parts = iter(parts_of(figure, [each for each in exact if each], unit))
    return [next(parts) if each else ZERO for each in exact]


def parts_of(figure: Decimal, exact: Sequence[Decimal], unit: Decimal) -> list[Decimal]:
    """Exact amounts as they are shown beneath a figure that is shown: rounded, so that they add up to it.

    The figure may differ from their sum by what was rounded to make it; each takes an equal share of that.
    """
    if not exact:
        return []
    share = (figure - sum(exact, Decimal(0))) / len(exact)
    return rounded_parts([each + share for each in exact], unit)
