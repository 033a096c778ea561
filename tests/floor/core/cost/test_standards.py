"""Standards that learn: what a step takes by the ledger, beside what the shop file says."""

from collections.abc import Iterable, Iterator
from datetime import timedelta
from decimal import Decimal
from itertools import pairwise

from floor.core.cost.standards import Learned, learned
from shared.files.shop import Shop, parse_shop
from tests.making import DARK_WALK, LIGHT_WALK, MONDAY, Play, shop_data, walk

WEEK = timedelta(weeks=1)


def found(play: Play) -> dict[str, Learned]:
    return {each.where: each for each in learned(play.floor, play.shop, play.now - WEEK, play.now)}


def in_and_out(**steps: float) -> Shop:
    """A shop that scans some steps in and out, with their standards."""
    data = shop_data()
    for key, touch_s in steps.items():
        data["steps"][key] |= {"scans": "in_out", "touch_s": touch_s}
    return parse_shop(data)


def walked(inspect_s: Iterable[float], its: Play | None = None, days: int = 5) -> Play:
    """Dark garments one after the other, on so many days, each inspected for so long and scanned in and out."""
    play = its or Play(in_and_out(inspect=15))
    play.badge = play.badge or "B"
    seconds = list(inspect_s)
    for day in range(days):
        play.now = max(play.now, MONDAY + timedelta(days=day))
        for piece, inspected_s in zip(play.job(sizes={"M": len(seconds)}), seconds, strict=True):
            walk(play, piece, _stops(inspected_s))
    return play


def _stops(inspected_s: float) -> Iterator[tuple[str, float]]:
    for at, after_s in DARK_WALK:
        yield from [("inspection", 2), ("inspection", inspected_s)] if at == "inspection" else [(at, after_s)]


def test_a_step_that_takes_its_standard_is_left_alone() -> None:
    inspect = found(walked([15, 15, 15]))["steps.inspect.touch_s"]
    assert (inspect.how, inspect.n, inspect.mean_s, inspect.proposed_s) == ("mean", 15, 15, None)
    assert inspect.costs_a_week == Decimal("0.00")


def test_a_step_that_takes_longer_is_proposed_with_what_it_costs_a_week() -> None:
    inspect = found(walked([30, 30]))["steps.inspect.touch_s"]
    assert inspect.proposed_s == 30
    # Ten times in the week, 15 s longer: at 18.00 an hour, and 9.50 overhead.
    assert inspect.costs_a_week == Decimal("1.15")


def test_four_days_change_no_standard() -> None:
    assert found(walked([30, 30, 30], days=4))["steps.inspect.touch_s"].proposed_s is None


def test_a_standard_that_its_own_data_do_not_contradict_stays() -> None:
    play = Play(in_and_out(inspect=15))
    for inspect_s in ([10, 12], [13, 14], [15, 16], [17, 20], [18, 21]):
        play.now = MONDAY + timedelta(days=len(play.floor.jobs))
        walked(inspect_s, play, days=1)
    inspect = found(play)["steps.inspect.touch_s"]
    assert (inspect.low_s or 0) < 15 < (inspect.mean_s or 0) < (inspect.high_s or 0)
    assert inspect.proposed_s is None


def test_a_step_that_is_scanned_once_has_a_range_and_is_not_proposed() -> None:
    pretreat = found(walked([15, 15]))["steps.pretreat.touch_s"]
    assert (pretreat.how, pretreat.mean_s, pretreat.proposed_s) == ("range", None, None)
    assert (pretreat.low_s or 0) < 90 <= (pretreat.high_s or 0)


def test_a_route_s_own_standard_is_a_standard_of_its_own() -> None:
    play = walked([15])
    for piece in play.job(colour="white", sizes={"M": 2}):
        walk(play, piece, LIGHT_WALK)
    machine = {where: each.standard_s for where, each in found(play).items() if each.what == "machine_s"}
    assert machine == {
        "steps.underlayer.machine_s": 120,
        "steps.colour.machine_s": 120,
        "routes.light garment.0.machine_s": 75,
    }


def test_the_time_in_a_press_is_never_proposed() -> None:
    assert not [where for where in found(walked([15])) if "cure" in where]


def test_a_standard_that_was_changed_since_is_not_looked_at() -> None:
    play = walked([30, 30])
    data = shop_data()
    data["steps"]["inspect"] |= {"touch_s": 30, "scans": "in_out"}
    play.shop = parse_shop(data)
    assert "steps.inspect.touch_s" not in found(play)


def test_the_costliest_difference_comes_first() -> None:
    costs = [abs(each.costs_a_week) for each in found(walked([30, 30])).values()]
    assert all(one >= other for one, other in pairwise(costs))


def test_an_hour_costs_what_those_cost_who_did_the_work() -> None:
    data = shop_data()
    data["badges"] = [{"name": "Ada", "per_hour": "36.00"}]
    data["steps"]["inspect"]["scans"] = "in_out"
    play = Play(parse_shop(data))
    play.badge = "Ada"
    inspect = found(walked([30, 30], play))["steps.inspect.touch_s"]
    assert inspect.costs_a_week == Decimal("1.90")  # 10 × 15 s at 36.00 and 9.50 an hour
