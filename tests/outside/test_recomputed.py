"""The hours of the week, and what they cost, against a second, naive computation from the ledger's CSV."""

import tomllib
from collections.abc import Mapping
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from demo_shop.scene import Scene
from demo_shop.staging import perform
from floor.core.figures.data import WeekReport
from floor.core.figures.week import week_report
from floor.core.folds.fold import fold_all
from floor.exports.flat import csv_lines
from shared.events.recorded import Recorded
from shared.files.shop import Shop
from shared.files.shopfile import FILE_NAME
from tests.outside.naive import Naive, Week, summary
from tests.outside.shopfloor import STEPS, Plan, Shopfloor, recorded, shop_for, shop_tables

WALKING = Plan(people=[("A", STEPS), ("B", STEPS)], pieces=40)
PLANS = {
    "one person walks": Plan(people=[("A", STEPS)], pieces=40),
    "two people walk": WALKING,
    "batches": Plan(people=[("A", STEPS)], batch=6, pieces=40),
    "in and out": Plan(people=[("A", STEPS), ("B", STEPS)], in_out=True, pieces=40),
    "forgotten scans and pauses": Plan(
        people=[("A", STEPS), ("B", STEPS)], forgotten=0.06, pause_share=0.05, overtime_s=3_600, pieces=60
    ),
}
CENT = 0.021
"""Quotes and variances are rounded so that they add up: one of each may be a cent off."""


def check(report: WeekReport, rows: list[Recorded], shop: Shop, shop_file: dict[str, Any]) -> None:
    naive = Naive([line.decode() for line in csv_lines(rows, shop.hours.zone)], shop_file).week()
    _check_counts(report, naive)
    _check_hands(report, naive.present_s, naive.absorbed_s, naive.forgot_sign_out)
    for job in report.jobs:
        for element in ("labour", "machine", "overhead"):
            assert float(job.actual[element]) == pytest.approx(naive.cost[job.job][element], abs=CENT), element
    for key, step in report.steps.items():
        for figures, values in ((step.processing_s, naive.processing_s[key]), (step.queuing_s, naive.queuing_s[key])):
            found = figures.n, figures.median, figures.mean
            assert found == pytest.approx(summary(values), abs=1e-3), key
    for figures, values in (
        (report.cycle_time_s, naive.cycle_s),
        (report.cycle_time_working_s, naive.cycle_working_s),
    ):
        assert (figures.n, figures.median, figures.mean) == pytest.approx(summary(values), abs=1e-3)


def _check_counts(report: WeekReport, naive: Week) -> None:
    assert (report.finished, report.spoiled) == (naive.finished, naive.spoiled)
    assert (report.throughput_per_hour or 0) == pytest.approx(naive.finished / (naive.open_s / 3600))
    inspected = naive.passed + naive.failed
    assert report.first_pass_yield == (pytest.approx(naive.passed / inspected) if inspected else None)
    assert {stay.piece for stay in report.over_time} == naive.over_time
    assert {late.job: late.late_s for late in report.late} == pytest.approx(naive.late_s)
    for week in report.wet:
        wet_s = naive.wet_s[week.limit_s]
        assert (week.wet_s.n, week.over) == (len(wet_s), sum(each > week.limit_s for each in wet_s))
        quarters = [sum(n <= 4 * each / week.limit_s < n + 1 for each in wet_s) for n in range(4)]
        assert list(week.within) == quarters


def _check_hands(
    report: WeekReport, present_s: Mapping[str, float], absorbed_s: Mapping[str, float], forgot: Mapping[str, int]
) -> None:
    hands = {each.badge: each for each in report.hands if each.badge}
    assert hands.keys() == present_s.keys()
    for badge, each in hands.items():
        assert each.paid_s == pytest.approx(present_s[badge], abs=1e-3)
        assert each.absorbed_s == pytest.approx(absorbed_s[badge], abs=1e-3)
        assert each.not_signed_out == forgot[badge]


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_a_simulated_week_agrees(plan: Plan, seed: int) -> None:
    shop = shop_for(plan)
    play = recorded(Shopfloor(plan, seed).run(), shop)
    check(week_report(play.floor, shop, "2026-W48", play.now), play.rows, shop, shop_tables(plan))


def played(seed: int, folder: Path) -> None:
    outcome = perform(folder / "shop", seed, Scene(Console(file=StringIO()), moving=False))
    shop = outcome.folder.shop
    with outcome.folder.ledger() as ledger:
        rows = list(ledger.rows())
    report = week_report(fold_all(rows), shop, outcome.week, outcome.folder.clock.now())
    tables = tomllib.loads((outcome.folder.path / FILE_NAME).read_text(encoding="utf-8"))
    check(report, rows, shop, tables)


@pytest.mark.parametrize("seed", [1, 2])
def test_a_day_of_the_demo_agrees(seed: int, tmp_path: Path) -> None:
    played(seed, tmp_path)


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(3, 21))
def test_many_days_of_the_demo_agree(seed: int, tmp_path: Path) -> None:
    played(seed, tmp_path)
