"""Contribution margin, break-even and markup as textbooks of cost accounting work them out.

The numbers are a common textbook example: 10,000 units at 20 with variable costs of 7 each and fixed costs of 118,000.
"""

from decimal import Decimal
from typing import Any

import pytest

from floor.core.cost.pricing import margin_share, price_for
from floor.core.cost.quote import quote_answer
from shared.events.jobs import Line
from shared.money import Charge
from shared.plain import plain

CENT = Decimal("0.01")
FIXED = 118_000


def line(units: int, price: str = "20", cost: str = "7") -> Line:
    """So many units at a price, whose variable cost is all in one charge."""
    charge = Charge(element="garment", quantity=Decimal(1), price=Decimal(cost))
    return Line(
        number=1,
        design="unit",
        item="unit",
        colour="any",
        shade="light",
        sizes={"one": units},
        places=("front",),
        price_each=Decimal(price),
        quoted={"one": (charge,)},
    )


def contribution(units: int) -> Decimal:
    answer: Any = plain(quote_answer([line(units)], "USD", CENT))
    return Decimal(answer["margin"])


def test_ten_thousand_units_contribute_130_000_at_a_ratio_of_65_per_cent() -> None:
    answer: Any = plain(quote_answer([line(10_000)], "USD", CENT))
    assert (answer["margin"], answer["margin_share"]) == ("130000.00", "0.6500")
    assert contribution(10_000) - FIXED == 12_000


def test_a_unit_at_30_that_costs_18_contributes_12() -> None:
    answer: Any = plain(quote_answer([line(1, "30", "18")], "USD", CENT))
    assert answer["margin"] == "12.00"


def test_it_breaks_even_at_9_077_units() -> None:
    """118,000 / 13 = 9,076.92: the last unit that is needed is the 9,077th."""
    assert contribution(9_076) < FIXED <= contribution(9_077)


def test_at_break_even_the_price_is_the_whole_cost() -> None:
    enough, too_few = (price_for(Decimal(FIXED + 7 * units), units, Decimal(0), CENT) for units in (9_077, 9_076))
    assert (enough, too_few) == (Decimal("20.00"), Decimal("20.01"))


@pytest.mark.parametrize(
    ("margin", "markup"), [("0.20", "0.25"), ("0.25", "1/3"), ("0.50", "1"), ("0.60", "1.5"), ("0.65", "13/7")]
)
def test_a_margin_on_the_price_is_a_markup_of_margin_over_one_less_margin_on_the_cost(margin: str, markup: str) -> None:
    """Markup = margin / (1 − margin), as every textbook's table of equivalents has it."""
    over, _, under = markup.partition("/")
    cost = Decimal(2100)
    price = price_for(cost, 1, Decimal(margin), CENT)
    assert price == cost + cost * Decimal(over) / Decimal(under or 1)
    assert Decimal(str(margin_share(price, cost))) == Decimal(margin)
