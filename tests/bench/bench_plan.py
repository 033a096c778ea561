"""How fast a floor is played forward, and how good the shop's order is: against every order, and against CP-SAT.

Never runs with the tests: the solver alone takes minutes.

    python -m tests.bench.bench_plan [seconds for the solver, 60 if left out]
"""

import sys
from collections.abc import Iterator, Sequence
from cProfile import Profile
from datetime import timedelta
from itertools import permutations
from pstats import Stats
from random import Random
from time import perf_counter

from floor.core.plan.outlook import outlook
from floor.core.plan.play import Visit, Walker, play
from floor.core.plan.sequencing import Batch, JobSequence, Played, best_played, finished_s, first_sequence, in_sequence
from tests.making import DARK_WALK, LIGHT_WALK, Play, large_shop

PIECES = (1_000, 2_000, 5_000, 10_000)
SOLVER_S = 60.0
INSTANCES = 3

# A shop of two printers, two presses, a booth, an inspection and a packing table, without closing hours, and with as
# many hands as it needs: what both sides can be told.

BOOTH, PRINTERS, INSPECTION, PRESSES, TABLE = (0,), (1, 2), (3,), (4, 5), (6,)
STATIONS = 7
WET_LIMIT_S = 1_200


def step(stations: tuple[int, ...], takes_s: float) -> Visit:
    return Visit(stations=stations, takes_s=takes_s)


def cure(takes_s: float) -> Visit:
    return Visit(stations=PRESSES, takes_s=takes_s, dwell=True, limit_s=WET_LIMIT_S)


DARK = (step(BOOTH, 90), step(PRINTERS, 150), step(INSPECTION, 15), step(PRINTERS, 140), cure(200), step(TABLE, 20))
LIGHT = (step(PRINTERS, 95), cure(80), step(TABLE, 20))
HARD = (step(PRINTERS, 110), cure(140), step(INSPECTION, 15), step(TABLE, 20))


def instance(pieces: int, seed: int, tightness: float, job_max: int = 8) -> list[Batch]:
    """Jobs of alike pieces; due, at random, between a fifth and all of the time that the printers or presses need.

    `tightness` times that: below 1 some must be late. A late job weighs as much as it has pieces.
    """
    random = Random(seed)
    jobs: list[tuple[Walker, ...]] = []
    while (left := pieces - sum(map(len, jobs))) > 0:
        route = random.choice((DARK, DARK, LIGHT, HARD))
        jobs.append((Walker(visits=route),) * min(left, random.randint(1, job_max)))
    span_s = max(_load_s(jobs, PRINTERS), _load_s(jobs, PRESSES))
    return [
        Batch(due_s=400 + 5 * round(random.uniform(0.2, 1) * span_s * tightness / 5), weight=len(job), walkers=job)
        for job in jobs
    ]


def _load_s(jobs: Sequence[Sequence[Walker]], stations: tuple[int, ...]) -> float:
    visits = (visit for job in jobs for walker in job for visit in walker.visits)
    return sum(visit.takes_s for visit in visits if visit.stations == stations) / len(stations)


def played(batches: Sequence[Batch], sequence: JobSequence) -> Played:
    stays = play(in_sequence(batches, sequence), [0.0] * STATIONS)
    return Played(sequence=sequence, stays=stays, finished_s=finished_s(batches, sequence, stays))


def lateness(batches: Sequence[Batch], plan: Played) -> float:
    return sum(
        batch.weight * max(finished - batch.due_s, 0.0)
        for batch, finished in zip(batches, plan.finished_s, strict=True)
    )


def ours(batches: Sequence[Batch]) -> tuple[Played, float]:
    """Our plan, and the seconds that it took."""
    started = perf_counter()
    plan = best_played(batches, lambda sequence: played(batches, sequence))
    return plan, perf_counter() - started


# How fast


def busy_floor(pieces: int) -> Play:
    """Jobs of 5 to 27 garments, dark and light by turns, a quarter of them on their way."""
    its = Play(large_shop())
    while len(its.floor.open) < pieces:
        ordered = len(its.floor.open)
        due = its.now + timedelta(hours=4 + ordered / 60)
        count = min(pieces - ordered, 5 + ordered * 7 % 23)
        its.job(sizes={"M": count}, colour=("navy", "white")[ordered % 2], due=due)
    for n, code in enumerate(list(its.floor.open)[: pieces // 4]):
        walked = DARK_WALK if len(its.piece(code).route) == len(DARK) else LIGHT_WALK
        for station, after_s in walked[: n % 3]:
            its.scan(code, station, after_s=after_s)
    return its


def forecast_s(floor: Play) -> float:
    """The best of three runs: what else the machine does meanwhile is not the forecast's."""
    return min(_timed(floor) for _ in range(3))


def _timed(floor: Play) -> float:
    started = perf_counter()
    outlook(floor.floor, floor.shop, floor.now).finishes()
    return perf_counter() - started


def what_dominates(floor: Play, lines: int = 8) -> list[str]:
    """The functions in which most of the time is spent, themselves alone, and their share."""
    with Profile() as profile:
        outlook(floor.floor, floor.shop, floor.now)
    stats = Stats(profile).stats  # type: ignore[attr-defined]  # typeshed leaves it out
    total_s = sum(own_s for _, _, own_s, _, _ in stats.values())
    most = sorted(stats.items(), key=lambda entry: -entry[1][2])[:lines]
    return [f"{own_s / total_s:5.0%}  {name} ({calls:,} calls)" for (_, _, name), (_, calls, own_s, _, _) in most]


def speed() -> dict[str, float]:
    """Milliseconds to play a floor forward, by the number of its open pieces."""
    return {f"{pieces:,} open pieces, ms": 1_000 * forecast_s(busy_floor(pieces)) for pieces in PIECES}


# How good


def against_every_order(instances: int = 10, pieces: int = 7) -> dict[str, float]:
    """Lateness summed over small instances of one piece a job: in our order, and in the best of all orders."""
    small = [instance(pieces, seed, 0.8, job_max=1) for seed in range(instances)]
    best = sum(
        min(lateness(batches, played(batches, sequence)) for sequence in permutations(range(len(batches))))
        for batches in small
    )
    mine = sum(lateness(batches, ours(batches)[0]) for batches in small)
    rule = sum(lateness(batches, played(batches, first_sequence(batches))) for batches in small)
    return {"best of all orders": best, "ours": mine, "the first order alone": rule, "gap, %": 100 * (mine / best - 1)}


def against_cp_sat(solver_s: float) -> Iterator[str]:
    """Weighted lateness, seconds: ours, the solver's from nothing, and from our plan on."""
    from tests.bench.cp_sat import solve

    for pieces in (30, 100):
        all_mine = all_best = 0.0
        for seed in range(INSTANCES):
            batches = instance(pieces, seed, 0.8)
            plan, seconds = ours(batches)
            mine = lateness(batches, plan)
            alone, begun = solve(batches, solver_s), solve(batches, solver_s, plan)
            best = min(each.best for each in (alone, begun) if each.best is not None)
            yield f"{pieces} pieces, {len(batches)} jobs, seed {seed}: ours {mine:,.0f} in {1_000 * seconds:.0f} ms"
            yield f"  CP-SAT: alone {_said(alone.best)}, from ours on {_said(begun.best)}, bound {begun.bound:,.0f}"
            yield f"  gap {_gap(mine, best)} in {100 * seconds / begun.seconds:.2f} % of its time"
            all_mine, all_best = all_mine + mine, all_best + best
        yield f"{pieces} pieces, all {INSTANCES}: gap {_gap(all_mine, all_best)}"


def _gap(mine: float, best: float) -> str:
    return f"{100 * (mine / best - 1):.1f} %"


def _said(best: float | None) -> str:
    return "no plan" if best is None else f"{best:,.0f}"


def main() -> None:
    """Everything, in one run."""
    solver_s = float(sys.argv[1]) if sys.argv[1:] else SOLVER_S
    print("forecast (aim: 1,000 open pieces in 50 ms, 10,000 in 600 ms)")
    for name, ms in speed().items():
        print(f"  {name:<30} {ms:>8.1f}")
    print("what dominates, of 10,000")
    print(*(f"  {line}" for line in what_dominates(busy_floor(10_000))), sep="\n")
    print("order, against every order (7 pieces)")
    for name, value in against_every_order().items():
        print(f"  {name:<30} {value:>8,.1f}")
    print("order, against CP-SAT (aim: at most 5 % above its best, in 1 % of its time)")
    for line in against_cp_sat(solver_s):
        print(f"  {line}", flush=True)


if __name__ == "__main__":
    main()
