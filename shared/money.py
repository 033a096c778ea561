"""Money and quantities: exact in Decimal, rounded once, split without losing a cent.

Never rounds on the way: only what is shown or stored as a total.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal, NamedTuple, get_args

from babel.numbers import get_currency_precision
from msgspec import Struct

Element = Literal[
    "garment",
    "pretreat",
    "white_ink",
    "colour_ink",
    "labour",
    "machine",
    "consumables",
    "spoilage",
    "overhead",
]
ELEMENTS: tuple[Element, ...] = get_args(Element)
"""The elements of cost, in the order in which they are always shown."""


Loss = Literal["allowance", "spoiled piece", "beyond the allowance"]
"""What a charge of spoilage is: expected, a piece that was lost, or what is taken out of the job's cost again."""


NO_STEP: Mapping[Element, str] = {"overhead": "labour hours", "labour": "allowance for rest"}
"""What is used of an element in no step; of any other it is a blank."""


class ChargeKind(NamedTuple):
    """What charges have in common that are held against each other, in a quote and in the actual."""

    element: Element
    step: str = ""
    """The key of the step that takes it; none takes the blank, overhead, spoilage and the allowance for rest."""
    place: str = ""
    """The place that is printed, where there are several."""
    setup: bool = False
    """Whether it is the share of a line's set-up."""
    loss: Loss | None = None

    @property
    def what(self) -> str:
        """What was used, as people say it: "cure back", "setup colour", "blank"."""
        if self.step:
            return " ".join(part for part in ("setup" if self.setup else "", self.step, self.place) if part)
        return self.loss or NO_STEP.get(self.element, "blank")


class Charge(Struct, frozen=True, kw_only=True, gc=False, omit_defaults=True):
    """A quantity at a price: 24 g of pretreat at 0.014 a gram. Kept apart, so that variances can be told apart."""

    element: Element
    step: str = ""
    place: str = ""
    setup: bool = False
    loss: Loss | None = None
    quantity: Decimal
    price: Decimal

    @property
    def kind(self) -> ChargeKind:
        """What it is held against others by."""
        return ChargeKind(self.element, self.step, self.place, self.setup, self.loss)

    @property
    def amount(self) -> Decimal:
        """Quantity × price, exact."""
        return self.quantity * self.price


_PLACES = Decimal("1e-9")
_NUMBER = re.compile("-?[0-9]{1,9}([.,][0-9]{1,9})?")

Costing = tuple[Charge, ...]
"""All the charges of a thing: of a good piece in a quote, of a piece as it was made, of a week."""


def typed_amount(text: str) -> Decimal | None:
    """A number as people and printers write it, with a point or a comma; None for what is no number."""
    return Decimal(text.replace(",", ".")) if _NUMBER.fullmatch(text) else None


def measured(quantity: Decimal) -> Decimal:
    """A quantity to a billionth, so that every product and sum of charges is exact."""
    return quantity.quantize(_PLACES)


def minor_unit(currency: str) -> Decimal:
    """The smallest amount of a currency by CLDR: 0.01 for USD, 1 for JPY."""
    return Decimal(1).scaleb(-get_currency_precision(currency))


def rounded(amount: Decimal, unit: Decimal = Decimal("0.01")) -> Decimal:
    """An amount to a whole number of units, half away from zero: 2.665 is 2.67, -0.125 is -0.13, -0.001 is 0.00."""
    return _unsigned_zero((amount / unit).quantize(Decimal(1), ROUND_HALF_UP) * unit)


def rounded_parts(
    parts: Sequence[Decimal], unit: Decimal = Decimal("0.01"), total: Decimal | None = None
) -> list[Decimal]:
    """Amounts rounded so that they add up to their rounded total, by the largest remainder; ties to the earliest.

    `total` is what they must add up to where it differs from the rounded sum of the parts: then the parts are
    shares of a total, and each is first brought to its quota.
    """
    exact = list(parts) if total is None else _quotas(parts, total)
    goal = rounded(sum(exact, Decimal(0)) if total is None else total, unit)
    floors = [_unsigned_zero((part // unit - (part % unit < 0)) * unit) for part in exact]
    odd = int((goal - sum(floors, Decimal(0))) / unit)
    by_remainder = sorted(range(len(exact)), key=lambda n: (floors[n] - exact[n], n))
    lucky = set(by_remainder[:odd])
    return [low + unit if n in lucky else low for n, low in enumerate(floors)]


def _unsigned_zero(amount: Decimal) -> Decimal:
    """The same amount; zero without the sign that Decimal keeps, which nobody wants on a bill: -0.00."""
    return amount + 0


def _quotas(parts: Sequence[Decimal], total: Decimal) -> list[Decimal]:
    whole = sum(parts, Decimal(0))
    if whole == 0:
        raise ValueError("parts that add up to nothing cannot share a total")
    return [total * part / whole for part in parts]


def by_element(charges: Iterable[Charge]) -> dict[Element, Decimal]:
    """The exact amount of each element, all of them, in their order."""
    sums = dict.fromkeys(ELEMENTS, Decimal(0))
    for charge in charges:
        sums[charge.element] += charge.amount
    return sums


def shown(amounts: Mapping[Element, Decimal], unit: Decimal = Decimal("0.01")) -> dict[str, Decimal]:
    """Elements and their total as they are shown: rounded parts that add up to the rounded total."""
    parts = rounded_parts([amounts[element] for element in ELEMENTS], unit)
    named = {str(element): part for element, part in zip(ELEMENTS, parts, strict=True)}
    return {**named, "total": sum(parts, Decimal(0))}


def summed(amounts: Iterable[Mapping[Element, Decimal]]) -> dict[Element, Decimal]:
    """Several sets of elements added up, exact."""
    sums = dict.fromkeys(ELEMENTS, Decimal(0))
    for each in amounts:
        for element, amount in each.items():
            sums[element] += amount
    return sums
