"""Hours of hands and machines from scans alone, against simulated shops whose truth is known.

The shops are played by simpy, an independent simulator; what people really took is drawn from gamma distributions, as
is common practice, no source. Bounds are those of the README.
"""

from collections.abc import Callable, Iterator
from math import sqrt
from random import Random
from typing import NamedTuple

import pytest

from floor.core.times.cycle import StepTime, Walks
from tests.outside.shopfloor import STEPS, Plan, Shopfloor, recorded, shop_for

SEEDS, SOAK_SEEDS = 50, 300
ONE, TWO = [("A", STEPS)], [("A", STEPS), ("B", STEPS)]
EACH_ITS_OWN = [(f"hands {n}", (step,)) for n, step in enumerate(STEPS)]

SHOPS = {
    "one person walks all stations": Plan(people=ONE),
    "one person a station": Plan(people=EACH_ITS_OWN),
    "batches that are scanned afterwards": Plan(people=ONE, batch=12),
    "two people with badges of their own": Plan(people=TWO),
    "all scanned in and out": Plan(people=TWO, in_out=True),
    "forgotten scans, pauses, nights, overtime": Plan(
        people=TWO, forgotten=0.06, pause_share=0.05, overtime_s=3_600, pieces=150
    ),
    "nobody signed in": Plan(people=TWO, signed_in=False),
}
ORDINARY = list(SHOPS)[:4]
PACED = Plan(people=EACH_ITS_OWN, pace_s=160)
TWO_ON_ONE_BADGE = Plan(people=[("A", STEPS), ("A", STEPS)])


class Totals(NamedTuple):
    """Seconds of hands and machines: as the product has them, as they were, and by the standards."""

    hands_s: float
    machines_s: float
    true_hands_s: float
    true_machines_s: float
    standard_hands_s: float


def right(_: str) -> float:
    return 1.0


def totals(plan: Plan, seed: int, wrong: Callable[[str], float] = right) -> Totals:
    run, shop = Shopfloor(plan, seed).run(), shop_for(plan, wrong)
    times = list(all_times(run, plan, wrong))
    return Totals(
        hands_s=sum(time.hands.seconds for time in times),
        machines_s=sum(time.machine.seconds for time in times if time.machine),
        true_hands_s=sum(run.truth.hands_s.values()),
        true_machines_s=sum(run.truth.machine_s.values()),
        standard_hands_s=sum(shop.file.steps[time.step.key].touch_s for time in times),
    )


def all_times(run: Shopfloor, plan: Plan, wrong: Callable[[str], float]) -> Iterator[StepTime]:
    shop = shop_for(plan, wrong)
    play = recorded(run, shop)
    walks = Walks(play.floor, shop)
    for piece in play.floor.pieces.values():
        yield from walks.of(piece)


def biases(plan: Plan, seeds: int) -> tuple[float, float]:
    """By how much the hours of hands, and of machines, are wrong over many shops: shares of the truth."""
    runs = [totals(plan, seed) for seed in range(seeds)]
    hands_s, machines_s, true_hands_s, true_machines_s, _ = map(sum, zip(*runs, strict=True))
    return hands_s / true_hands_s - 1, machines_s / true_machines_s - 1


@pytest.mark.parametrize("plan", SHOPS.values(), ids=SHOPS)
def test_hours_are_within_three_percent_of_the_truth(plan: Plan) -> None:
    hands, machines = biases(plan, SEEDS)
    assert abs(hands) <= 0.03
    assert abs(machines) <= 0.03


@pytest.mark.soak
@pytest.mark.parametrize("plan", SHOPS.values(), ids=SHOPS)
def test_hours_are_within_three_percent_of_the_truth_over_many_shops(plan: Plan) -> None:
    hands, machines = biases(plan, SOAK_SEEDS)
    assert abs(hands) <= 0.03
    assert abs(machines) <= 0.03


def test_hands_that_wait_for_the_line_look_like_work() -> None:
    """What scans cannot know: in a paced line the hours of hands are at most what is told, a fifth too many here."""
    hands, machines = biases(PACED, SEEDS)
    assert hands == pytest.approx(0.2, abs=0.015)
    assert abs(machines) <= 0.03


def test_two_people_on_one_badge_look_like_one() -> None:
    """What scans cannot know: one badge has one pair of hands, so nearly a fifth of the work is missed here."""
    hands, machines = biases(TWO_ON_ONE_BADGE, SEEDS)
    assert hands == pytest.approx(-0.18, abs=0.015)
    assert abs(machines) <= 0.03


@pytest.mark.parametrize("name", ORDINARY)
def test_wrong_standards_hardly_move_the_hours(name: str) -> None:
    """Each step's standard is off by a factor of its own, from 0.8 to 1.25: its hours alone would be 7 % off."""
    ours, standards = [], []
    for seed in range(SEEDS):
        random = Random(seed)
        factors = {step: random.uniform(0.8, 1.25) for step in STEPS}
        found = totals(SHOPS[name], seed, factors.__getitem__)
        ours.append(found.hands_s / found.true_hands_s - 1)
        standards.append(found.standard_hands_s / found.true_hands_s - 1)
    assert rms(standards) > 0.06
    assert rms(ours) <= 0.035


def rms(errors: list[float]) -> float:
    return sqrt(sum(error**2 for error in errors) / len(errors))


@pytest.mark.parametrize("plan", [*SHOPS.values(), PACED, TWO_ON_ONE_BADGE], ids=[*SHOPS, "paced", "two on one badge"])
def test_no_hands_give_more_than_they_were_there(plan: Plan) -> None:
    run, shop = Shopfloor(plan, 0).run(), shop_for(plan)
    play = recorded(run, shop)
    shifts = list(Walks(play.floor, shop).hands.between(play.rows[0].occurred_at, play.now))
    assert bool(shifts) == plan.signed_in
    for badge, shift in shifts:
        assert 0 < shift.absorbed_s <= shift.present_s + 1e-6, badge


@pytest.mark.parametrize("seed", range(5))
def test_reads_that_arrive_late_give_the_same_times(seed: int) -> None:
    """The booth's scanner was cut off: all that it read arrives when the day is over."""
    plan = Plan(people=ONE)
    run, shop = Shopfloor(plan, seed).run(), shop_for(plan)
    on_time, late = recorded(run, shop), recorded(run, shop, last="booth")
    for one, other in zip(on_time.floor.pieces.values(), late.floor.pieces.values(), strict=True):
        assert told(Walks(on_time.floor, shop).of(one)) == told(Walks(late.floor, shop).of(other))


def told(times: list[StepTime]) -> list[tuple[object, ...]]:
    return [(time.started, time.done, time.hands, time.machine) for time in times]
