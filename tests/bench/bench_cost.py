"""The week's costing of 100,000 events, against the same sums in polars from the same rows.

Never compares unlike results: that both come to the same cost of every job is checked before a time is told.

Ours, from the folded floor: step times, charges in exact decimals each held against its quote, price and quantity
variances, causes, spoilage normal and abnormal, rounding, job by job. Polars, from the rows in columns: step times,
charges and quotes in binary floats, added up by job and element; no variances, causes, spoilage or rounding. Polars is
timed with and without what it takes to put the rows into columns; so are we with and without the fold.

    python -m tests.bench.bench_cost
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import timedelta
from decimal import Decimal
from resource import RUSAGE_SELF, getrusage
from time import perf_counter
from typing import Any, TypeVar

import polars as pl

from floor.core.cost.account import account
from floor.core.cost.actual import Costs
from floor.core.figures.data import JobWeek
from floor.core.figures.money import job_week
from floor.core.figures.week import left_between, week_report
from floor.core.folds.fold import fold_all
from floor.core.state.floor import Floor
from floor.core.times.cycle import Walks
from shared.events.jobs import JobAdded, PieceOpened
from shared.events.reads import PieceSpoiled, StepAssumed, StepDone, StepStarted
from shared.events.recorded import Recorded
from shared.files.shop import Shop
from tests.bench.bench_fold import realistic_ledger
from tests.making import MONDAY, shop

EVENTS = 100_000
WEEK = "2026-W48"
SECOND_US = 1_000_000
T = TypeVar("T")


def week_of_events(events: int = EVENTS) -> list[Recorded]:
    """All of them within one week."""
    rows = realistic_ledger(events, pause_h=0.05, after_s=5)
    assert rows[-1].occurred_at < MONDAY + timedelta(days=6), "they do not fit into a week"
    return rows


# Ours


def ours(floor: Floor, its_shop: Shop) -> list[JobWeek]:
    """The money of every job."""
    walks = Walks(floor, its_shop)
    costs = Costs(walks, its_shop)
    left = left_between(floor, *its_shop.hours.week_bounds(WEEK))
    return [job_week(walks, job, account(costs, pieces), its_shop.unit) for job, pieces in left.items()]


# Polars

Columns = Mapping[str, pl.DataFrame]


def columns_of(rows: Sequence[Recorded], times: pl.DataFrame) -> Columns:
    """The rows that costing needs, in columns, and how long each step took: polars need not work that out."""
    return {
        "quotes": pl.DataFrame(list(_quotes(rows)), orient="row", schema=["job", "line", "size", "element", "quoted"]),
        "steps": pl.DataFrame(list(_steps(rows)), orient="row", schema=STEP_COLUMNS),
        "facts": pl.DataFrame(list(_facts(rows)), orient="row", schema=FACT_COLUMNS),
        "times": times,
    }


def times_of(floor: Floor, its_shop: Shop) -> pl.DataFrame:
    """How long each step took of hands and of its machine, as the product has it."""
    walks = Walks(floor, its_shop)
    seconds = [
        (piece.code, n, time.station, time.badge, time.hands.seconds, time.machine.seconds if time.machine else 0.0)
        for piece in floor.pieces.values()
        for n, time in enumerate(walks.of(piece))
        if time.over
    ]
    return pl.DataFrame(seconds, orient="row", schema=TIME_COLUMNS)


STEP_COLUMNS = [
    *("piece", "job", "line", "size", "step", "last"),
    *("pretreat", "white_ink", "colour_ink", "consumables", "blank"),
]
TIME_COLUMNS = ["piece", "step", "station", "badge", "hands_s", "machine_s"]
FACT_COLUMNS = ["at", "what", "piece", "step", "station", "badge"]


def _quotes(rows: Sequence[Recorded]) -> Iterator[tuple[Any, ...]]:
    for row in rows:
        if isinstance(row.event, JobAdded):
            for line in row.event.lines:
                for size, costing in line.quoted.items():
                    for charge in costing:
                        yield row.event.job, line.number, size, charge.element, float(charge.amount)


def _steps(rows: Sequence[Recorded]) -> Iterator[tuple[Any, ...]]:
    prices = shop().price_list
    for row in rows:
        event = row.event
        if isinstance(event, PieceOpened):
            last = len(event.route) - 1
            cost = float(prices.blank_cost("heavy tee", event.size) or 0)
            piece = event.piece, event.job, event.line, event.size
            for n, step in enumerate(event.route):
                uses = step.uses
                materials = (
                    float(uses.pretreat_g * prices.pretreat_per_kg) / 1000,
                    float(uses.white_ml * prices.white_ink_per_ml),
                    float(uses.colour_ml * prices.colour_ink_per_ml),
                    float(uses.consumables),
                )
                yield *piece, n, n == last, *materials, cost if n == 0 else 0.0


def _facts(rows: Sequence[Recorded]) -> Iterator[tuple[Any, ...]]:
    for row in rows:
        event = row.event
        if isinstance(event, StepDone | StepStarted | StepAssumed):
            yield _us(row), type(event).__name__, event.piece, event.step, row.station, row.badge
        elif isinstance(event, PieceSpoiled):
            yield _us(row), "PieceSpoiled", event.piece, -1, row.station, row.badge


def _us(row: Recorded) -> int:
    return int(row.occurred_at.timestamp() * SECOND_US)


def theirs(columns: Columns, its_shop: Shop) -> pl.DataFrame:
    """Actual and quoted cost by job and element, of the good pieces, spoilage left out."""
    steps = columns["steps"].join(columns["times"], on=["piece", "step"], how="left")
    spoiled = columns["facts"].filter(pl.col("what") == "PieceSpoiled").select("piece")
    finished = steps.filter(pl.col("last") & pl.col("hands_s").is_not_null()).select("piece")
    good = finished.join(spoiled, on="piece", how="anti")
    charges = _charged(steps.join(good, on="piece"), its_shop)
    actual = charges.group_by("job", "element").agg(pl.col("amount").sum().alias("actual"))
    pieces = steps.filter(pl.col("last")).join(good, on="piece").group_by("job", "line", "size").len()
    quotes = columns["quotes"].join(pieces, on=["job", "line", "size"])
    quoted = quotes.group_by("job", "element").agg((pl.col("quoted") * pl.col("len")).sum())
    return actual.join(quoted, on=["job", "element"], how="left")


def _charged(steps: pl.DataFrame, its_shop: Shop) -> pl.DataFrame:
    prices = its_shop.price_list
    rates = {name: float(rate) for name, rate in prices.hands.items()}
    rate = pl.col("badge").replace_strict(rates, default=float(prices.labour_per_hour), return_dtype=pl.Float64)
    machines = {name: float(rate) for name, rate in prices.machines.items()}
    machine_rate = pl.col("station").replace_strict(machines, default=0.0, return_dtype=pl.Float64)
    priced = steps.with_columns(
        (pl.col("hands_s") / 3600 * rate).alias("labour"),
        (pl.col("hands_s") / 3600 * float(prices.overhead_per_labour_hour)).alias("overhead"),
        (pl.col("machine_s") / 3600 * machine_rate).alias("machine"),
    ).rename({"blank": "garment"})
    elements = ["garment", "pretreat", "white_ink", "colour_ink", "consumables", "labour", "machine", "overhead"]
    return priced.unpivot(elements, index="job", variable_name="element", value_name="amount")


# Both


def check_alike(jobs: Sequence[JobWeek], frame: pl.DataFrame) -> None:
    """Every element of every job, actual and quoted, to what is rounded so that it adds up."""
    found = {(job, element): (actual, quoted) for job, element, actual, quoted in frame.rows()}
    for job in jobs:
        for element in set(job.actual) - {"spoilage", "total"}:
            actual, quoted = found.get((job.job, element), (0.0, 0.0))
            assert abs(job.actual[element] - Decimal(actual)) < Decimal("0.021"), (job.job, element)
            assert abs(job.quoted[element] - Decimal(quoted or 0)) < Decimal("0.011"), (job.job, element)


def best_s(work: Callable[[], T], runs: int = 5) -> tuple[float, T]:
    """The best of some runs, and what came out."""
    taken: list[float] = []
    found: list[T] = []
    for _ in range(runs):
        started = perf_counter()
        found[:] = [work()]
        taken.append(perf_counter() - started)
    return min(taken), found[0]


def measure(events: int = EVENTS) -> dict[str, float]:
    """Seconds, their ratio, and the memory of this process."""
    rows, its_shop = week_of_events(events), shop()
    fold_s, floor = best_s(lambda: fold_all(rows))
    ours_s, jobs = best_s(lambda: ours(floor, its_shop))
    report_s, _ = best_s(lambda: week_report(floor, its_shop, WEEK, rows[-1].occurred_at))
    peak_mb = getrusage(RUSAGE_SELF).ru_maxrss / 1024
    times = times_of(floor, its_shop)
    columns_s, columns = best_s(lambda: columns_of(rows, times))
    polars_s, frame = best_s(lambda: theirs(columns, its_shop))
    check_alike(jobs, frame)
    return {
        "fold, s": fold_s,
        "costing, s": ours_s,
        "whole report, s": report_s,
        "peak memory with the rows held, MB": peak_mb,
        "polars: rows into columns, s": columns_s,
        "polars: sums, s": polars_s,
        "costing against polars, from the same rows": (fold_s + ours_s) / (columns_s + polars_s),
        "costing alone against polars from the rows": ours_s / (columns_s + polars_s),
    }


if __name__ == "__main__":
    for name, value in measure().items():
        print(f"{name:<50} {value:>10.3f}")
