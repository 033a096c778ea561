"""Standards that learn: what a step takes by the ledger, beside what the shop file says."""

from collections.abc import Iterable
from datetime import timedelta
from decimal import Decimal
from itertools import pairwise

import pytest

from floor.core.cost.standards import Learned, learned
from shared.codes import CodeType
from shared.files.shop import parse_shop
from tests.making import DARK_WALK, LIGHT_WALK, Play, card, shop_data, walk

WEEK = timedelta(weeks=1)


def found(play: Play) -> dict[str, Learned]:
    return {each.where: each for each in learned(play.floor, play.shop, play.now - WEEK, play.now)}


def walked(inspect_s: Iterable[float], its: Play | None = None) -> Play:
    """Dark garments one after the other, each inspected for so long."""
    play = its or Play()
    seconds = list(inspect_s)
    for piece, inspected_s in zip(play.job(sizes={"M": len(seconds)}), seconds, strict=True):
        walk(play, piece, [(at, inspected_s if at == "inspection" else after_s) for at, after_s in DARK_WALK])
    return play


def test_a_step_that_takes_its_standard_is_left_alone() -> None:
    inspect = found(walked([15] * 10))["steps.inspect.touch_s"]
    assert (inspect.n, inspect.median_s, inspect.proposed_s, inspect.costs_a_week) == (10, 15, None, Decimal("0.00"))


def test_a_step_that_takes_longer_is_proposed_with_what_it_costs_a_week() -> None:
    inspect = found(walked([30] * 10))["steps.inspect.touch_s"]
    assert inspect.proposed_s == 30
    # Ten times in the week, 15 s longer: at 18.00 an hour, and 9.50 overhead.
    assert inspect.costs_a_week == Decimal("1.15")


def test_seven_times_change_no_standard() -> None:
    assert found(walked([30] * 7))["steps.inspect.touch_s"].proposed_s is None


def test_a_standard_between_the_bounds_of_the_median_stays() -> None:
    inspect = found(walked([10, 12, 13, 14, 15, 16, 17, 20, 30, 40]))["steps.inspect.touch_s"]
    assert (inspect.low_s or 0) <= 15 <= (inspect.high_s or 0)
    assert inspect.proposed_s is None


def test_three_that_were_left_lying_do_not_move_it() -> None:
    assert found(walked([15] * 9 + [45] * 3))["steps.inspect.touch_s"].proposed_s is None


def test_a_route_s_own_standard_is_a_standard_of_its_own() -> None:
    play = walked([15] * 8)
    for piece in play.job(colour="white", sizes={"M": 8}):
        walk(play, piece, LIGHT_WALK)
    machine = {where: each.standard_s for where, each in found(play).items() if each.what == "machine_s"}
    assert machine == {
        "steps.underlayer.machine_s": 120,
        "steps.colour.machine_s": 120,
        "routes.light garment.0.machine_s": 75,
    }


def test_the_time_in_a_press_is_never_proposed() -> None:
    assert not [where for where in found(walked([15] * 10)) if "cure" in where]


def test_a_standard_that_was_changed_since_is_not_looked_at() -> None:
    play = walked([30] * 10)
    data = shop_data()
    data["steps"]["inspect"]["touch_s"] = 30
    play.shop = parse_shop(data)
    assert "steps.inspect.touch_s" not in found(play)


def test_the_costliest_difference_comes_first() -> None:
    costs = [abs(each.costs_a_week) for each in found(walked([30] * 10)).values()]
    assert all(one >= other for one, other in pairwise(costs))


def test_an_hour_costs_what_those_cost_who_did_the_work() -> None:
    data = shop_data()
    data["badges"] = [{"name": "Ada", "per_hour": "36.00"}]
    play = Play(parse_shop(data))
    play.scan(card(CodeType.BADGE, "Ada"), "inspection")
    inspect = found(walked([30] * 10, play))["steps.inspect.touch_s"]
    assert inspect.costs_a_week == Decimal("1.90")  # 10 × 15 s at 36.00 and 9.50 an hour


@pytest.mark.parametrize("inspect_s", [[15] * 4 + [20] * 6, [10] * 6 + [15] * 4], ids=["lower", "upper"])
def test_a_standard_that_is_a_bound_of_the_median_is_not_off(inspect_s: list[float]) -> None:
    inspect = found(walked(inspect_s))["steps.inspect.touch_s"]
    assert 15 in (inspect.low_s, inspect.high_s)
    assert inspect.proposed_s is None
