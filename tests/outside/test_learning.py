"""What the shop learns of its standards, held against shops whose truth is known."""

from datetime import timedelta
from random import Random

import pytest

from floor.core.cost.evidence import evidence
from floor.core.cost.standards import Learned, learned
from floor.core.times.cycle import StepTime, Walks
from floor.core.times.share import Share
from tests.making import MONDAY, Play
from tests.outside.shopfloor import STEPS, Plan, Shopfloor, recorded, shop_for

SHOPS = 2_000
TOUCH_S, SPREAD, DAY_SPREAD, PACE = 90.0, 0.25, 0.05, 0.05
"""Of each work, of a day's mean, and by how much people differ at most: common practice, no source."""


def test_what_is_called_95_percent_sure_is_so_in_93_to_97_of_100_shops() -> None:
    """One to three people of different pace, who scan in and out on five to fifteen days."""
    play, random = Play(), Random(1)
    [piece] = play.job()
    walks = Walks(play.floor, play.shop)
    [one, *_] = walks.of(play.piece(piece))
    covered = 0
    for _ in range(SHOPS):
        truth_s, times = _shop(random, one)
        shown = evidence(walks, play.shop.hours, times)
        assert shown.sure
        covered += (shown.low_s or 0) <= truth_s <= (shown.high_s or 0)
    assert 0.93 <= covered / SHOPS <= 0.97


def _shop(random: Random, one: StepTime) -> tuple[float, list[StepTime]]:
    paces = [random.uniform(1 - PACE, 1 + PACE) for _ in range(random.randint(1, 3))]
    days = random.randint(5, 15)
    times = [
        _time(one, f"hands {who}", day, n, TOUCH_S * today * random.gammavariate(1 / SPREAD**2, SPREAD**2))
        for who, pace in enumerate(paces)
        for day in range(days)
        for today in [pace * random.gauss(1, DAY_SPREAD)]
        for n in range(random.randint(5, 20))
    ]
    return TOUCH_S * sum(paces) / len(paces), times


def _time(one: StepTime, badge: str, day: int, n: int, seconds: float) -> StepTime:
    done = MONDAY + timedelta(days=day, minutes=n)
    return StepTime(
        step=one.step,
        started=done - timedelta(seconds=seconds),
        done=done,
        station=one.station,
        badge=badge,
        derived=False,
        assumed=False,
        ready=None,
        hands=Share(seconds, "seen", most_s=seconds),
        machine=None,
    )


def _learned(plan: Plan, seed: int) -> list[Learned]:
    """All that a shop learns whose standards are right."""
    run, shop = Shopfloor(plan, seed).run(), shop_for(plan)
    play = recorded(run, shop)
    return learned(play.floor, shop, MONDAY - timedelta(days=1), play.now)


def _wrong(plan: Plan, seeds: int) -> tuple[int, int]:
    """How often bounds say that a standard is wrong which is right, and how many there are."""
    compared = [each for seed in range(seeds) for each in _learned(plan, seed) if each.how in {"range", "at most"}]
    return sum(each.costs_a_week != 0 for each in compared), len(compared)


WALKING = Plan(people=[("A", STEPS), ("B", STEPS)], pieces=450)
PACED = Plan(people=[(f"hands {n}", (step,)) for n, step in enumerate(STEPS)], pieces=900, pace_s=160)


def test_bounds_call_hardly_any_right_standard_wrong() -> None:
    wrong, compared = _wrong(WALKING, 10)
    assert compared >= 20
    assert wrong / compared <= 0.025


@pytest.mark.soak
def test_bounds_call_hardly_any_right_standard_wrong_in_many_shops() -> None:
    wrong, compared = _wrong(WALKING, 200)
    assert wrong / compared <= 0.025


def test_in_a_paced_line_where_hands_wait_no_standard_is_called_wrong() -> None:
    wrong, compared = _wrong(PACED, 3)
    assert compared > 0
    assert wrong == 0


def test_nothing_is_proposed_that_is_no_more_than_a_bound() -> None:
    for plan in (WALKING, PACED):
        assert all(each.proposed_s is None or each.how == "mean" for each in _learned(plan, 0))
