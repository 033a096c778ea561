"""Quantities at prices: alike for a quote and for what was done."""

from decimal import Decimal

import pytest

from floor.core.cost.quantities import hours, labour, machine, materials, overhead
from shared.money import Charge
from shared.route import Step, Uses
from tests.making import shop


def step(**uses: str) -> Step:
    amounts = {name: Decimal(amount) for name, amount in uses.items()}
    return Step(
        key="cure", event="cured", kind="dwell", scans="in_out", if_missed="stop", place="back", uses=Uses(**amounts)
    )


@pytest.mark.parametrize(("seconds", "told"), [(3600.0, "1"), (90.0, "0.025"), (20.0, "0.005555556"), (0.0, "0")])
def test_seconds_are_hours_to_a_billionth(seconds: float, told: str) -> None:
    assert hours(seconds) == Decimal(told)


def test_pretreat_is_bought_by_the_kilogram_and_used_by_the_gram() -> None:
    [charge] = materials(shop().price_list, step(pretreat_g="24"))
    assert charge == Charge(element="pretreat", step="cure", place="back", quantity=Decimal(24), price=Decimal("0.014"))


def test_each_ink_has_its_own_price() -> None:
    white, colour = materials(shop().price_list, step(white_ml="2", colour_ml="1"))
    assert [(charge.element, charge.amount) for charge in (white, colour)] == [
        ("white_ink", Decimal("0.42")),
        ("colour_ink", Decimal("0.19")),
    ]


def test_consumables_are_money_once_a_pass() -> None:
    [charge] = materials(shop().price_list, step(consumables="0.03"))
    assert (charge.quantity, charge.price) == (Decimal(1), Decimal("0.03"))


def test_a_step_that_uses_nothing_up_has_no_charges() -> None:
    assert list(materials(shop().price_list, step())) == []


def test_a_charge_bears_the_name_of_its_step_and_place() -> None:
    assert labour(step(), 20, Decimal(18)).kind.what == machine(step(), 20, Decimal(4)).kind.what == "cure back"


def test_overhead_is_paid_for_each_labour_hour_and_for_no_other() -> None:
    charges = [
        Charge(element="labour", step="a", quantity=Decimal("0.5"), price=Decimal(18)),
        Charge(element="labour", step="b", quantity=Decimal("0.25"), price=Decimal(20)),
        Charge(element="machine", step="a", quantity=Decimal(3), price=Decimal(6)),
    ]
    assert (overhead(shop().price_list, charges).quantity, overhead(shop().price_list, charges).price) == (
        Decimal("0.75"),
        Decimal("9.50"),
    )
