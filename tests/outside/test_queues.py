"""The press queue against two simulators and the formulas of queueing theory: our code says who goes in where and when.

simpy and ciw get the same arrivals and the same times in the press as the floor does, and know none of its code.
"""

from collections.abc import Generator, Iterable, Iterator
from datetime import timedelta
from heapq import heappop, heappush
from itertools import accumulate, islice, repeat
from math import factorial
from random import Random
from statistics import fmean
from typing import Any

import ciw  # type: ignore[import-untyped]
import pytest
import simpy

from floor.core.plan.outlook import outlook
from floor.core.plan.play import Visit, Walker, play
from floor.core.plan.wet import wet_queue
from shared.files.shop import Shop, parse_shop
from tests.making import MONDAY, Play, large_shop, shop_data

MICROSECOND = timedelta(microseconds=1)
SECOND_US = 1_000_000

Pressed = tuple[str, int, int]
"""A piece, when it went in, and when it came out, microseconds after the morning."""


# A day on a floor: pieces are printed at random moments; whatever the queue puts first goes in as soon as it says so


def pressing_shop(presses: int) -> Shop:
    """Light garments: a minute in the press, wet for ten at most; dark ones: three, and twenty. Loading takes no time.

    On this floor nobody scans when loading begins, so a press that is being loaded would look free.
    """
    data = shop_data(hours=None)
    data["steps"]["cure"]["touch_s"] = 0
    data["routes"] = {
        "light garment": ["colour", {"step": "cure", "min_s": 60, "wait_limit_s": 600}, "pack"],
        "dark garment": ["colour", "cure", "pack"],
        "hard goods": ["colour", "cure", "pack"],
    }
    more = [{"name": f"press {n}", "steps": ["cure"]} for n in range(2, presses + 1)]
    return parse_shop({**data, "stations": [*data["stations"], *more]})


Arrivals = dict[str, int]
"""When each piece was printed, microseconds after the morning."""


def printed_at_random(play: Play, count: int, mean_s: float, random: Random) -> Arrivals:
    """Light and dark garments in turn, none at the moment of another."""
    light = play.job(colour="white", sizes={"M": count})
    dark = play.job(sizes={"M": count})
    at, arrivals = 0, {}
    for codes in zip(light, dark, strict=True):
        for code in codes:
            at += 1 + int(random.expovariate(1 / mean_s) * SECOND_US)
            arrivals[code] = at
    return arrivals


def pressed_on_our_floor(play: Play, arrivals: Arrivals) -> list[Pressed]:
    """What happens at each moment is asked of the floor, and scanned."""
    moments = sorted((at, code, "printer 1") for code, at in arrivals.items())
    went_in: Arrivals = {}
    visits = []
    while moments:
        at, code, station = heappop(moments)
        play.now = MONDAY + at * MICROSECOND
        assert play.scan(code, station, at=play.now).good
        if station != "printer 1":
            visits.append((code, went_in[code], at))
        for wet in wet_queue(outlook(play.floor, play.shop, play.now), play.now):
            if wet.expected_in == play.now:
                assert wet.press is not None
                assert wet.expected_out is not None
                assert play.scan(wet.piece, wet.press, at=play.now).outcome == "started"
                went_in[wet.piece] = at
                heappush(moments, ((wet.expected_out - MONDAY) // MICROSECOND, wet.piece, wet.press))
    return sorted(visits)


def pressed_in_simpy(play: Play, arrivals: Arrivals, presses: int) -> list[Pressed]:
    """Of what waits, that goes in first whose wet limit ends first."""
    env = simpy.Environment()
    resource = simpy.PriorityResource(env, capacity=presses)
    visits = []

    def garment(code: str, at: int) -> Generator[Any, Any, None]:
        step = next(step for step in play.piece(code).route if step.kind == "dwell")
        yield env.timeout(at)
        with resource.request(priority=at + int((step.wait_limit_s or 0) * SECOND_US)) as turn:
            yield turn
            start = env.now
            yield env.timeout(int(step.min_s * SECOND_US))
            visits.append((code, int(start), int(env.now)))

    for code, at in arrivals.items():
        env.process(garment(code, at))
    env.run()
    return sorted(visits)


@pytest.mark.parametrize(("presses", "mean_s"), [(1, 130), (1, 60), (2, 60), (3, 35)])
def test_the_floor_presses_as_simpy_does_event_by_event(presses: int, mean_s: float) -> None:
    play = Play(pressing_shop(presses))
    arrivals = printed_at_random(play, 60, mean_s, Random(presses))
    ours = pressed_on_our_floor(play, arrivals)
    assert len(ours) == 120
    assert ours == pressed_in_simpy(play, arrivals, presses)


def test_what_is_wet_at_once_is_expected_when_simpy_presses_it() -> None:
    """With the time to load, which the expected moments hold: the press is taken from its beginning on."""
    play = Play(large_shop())
    pieces = [*play.job(sizes={"M": 3}), *play.job(colour="white", sizes={"M": 9})]
    for piece in pieces:
        at = play.now + timedelta(seconds=10)
        for station in ("printer 1", "inspection", "printer 1"):
            play.scan(piece, station, at=at)
            at += timedelta(seconds=3)
        play.now = at
    queue = wet_queue(outlook(play.floor, play.shop, play.now), play.now)
    env = simpy.Environment()
    resource = simpy.Resource(env, capacity=2)
    expected = []

    def garment(code: str) -> Generator[Any, Any, None]:
        step = play.piece(code).step
        assert step is not None
        with resource.request() as turn:
            yield turn
            yield env.timeout(step.touch_s)
            closes = env.now
            yield env.timeout(step.min_s)
            expected.append((code, closes, env.now))

    for wet in queue:
        env.process(garment(wet.piece))
    env.run()
    ours = [
        (wet.piece, (wet.expected_in - play.now).total_seconds(), (wet.expected_out - play.now).total_seconds())
        for wet in queue
        if wet.expected_in and wet.expected_out
    ]
    assert len(ours) == 12
    assert sorted(ours) == sorted(expected)


# Long runs: pieces come one by one, and the play gives each its press and its time


Seconds = Iterable[float]
SLICE = 5_000
"""So many pieces are played at a time; what they leave in the presses is handed on."""
PRINT = Visit(stations=(), takes_s=0)
"""What a piece is in until it comes."""


def cure(dwell_s: float, presses: int) -> Visit:
    """So long in one of so many presses, and no time to load it."""
    return Visit(stations=tuple(range(presses)), takes_s=dwell_s, dwell=True)


def waits_s(gaps_s: Seconds, dwells_s: Seconds, presses: int) -> Iterator[float]:
    """How long each piece waits for a press, by our play, when they come so many seconds apart."""
    free_s = [0.0] * presses
    coming = zip(accumulate(gaps_s), dwells_s, strict=False)
    while pieces := list(islice(coming, SLICE)):
        walkers = [Walker(visits=(PRINT, cure(dwell_s, presses)), inside_until_s=at) for at, dwell_s in pieces]
        for (at, _), (_, pressed) in zip(pieces, play(walkers, free_s), strict=True):
            assert pressed.station is not None
            free_s[pressed.station] = pressed.ends_s
            yield pressed.starts_s - at


@pytest.mark.parametrize("presses", [1, 2, 5])
def test_the_presses_take_pieces_as_ciw_serves_customers_event_by_event(presses: int) -> None:
    """ciw 3.2: whole seconds, so that its sums of floats are exact."""
    random = Random(presses)
    count = 2_000
    gaps = [random.randint(1, 59) for _ in range(count)]
    dwells = [random.choice([20, 25, 30, 40]) * presses for _ in range(count)]
    network = ciw.create_network(
        arrival_distributions=[ciw.dists.Sequential([*gaps, float("inf")])],
        service_distributions=[ciw.dists.Sequential(dwells)],
        number_of_servers=[presses],
    )
    simulation = ciw.Simulation(network)
    simulation.simulate_until_max_customers(count, method="Finish")
    records = sorted(simulation.get_all_records(), key=lambda record: record.arrival_date)
    assert list(waits_s(gaps, dwells, presses)) == [record.waiting_time for record in records]
    assert max(record.waiting_time for record in records) > 60


def erlang_c(load: float, servers: int) -> float:
    """The share of customers that must wait, of M/M/c (A. K. Erlang, 1917; the formula as in any textbook)."""
    last = load**servers / factorial(servers) * servers / (servers - load)
    return last / (sum(load**k / factorial(k) for k in range(servers)) + last)


def test_the_formula_gives_the_published_value() -> None:
    """Of 100 calls in half an hour, 3 min each, 14 agents: the package page of pyworkforce 0.1.0."""
    assert erlang_c(10, 14) == pytest.approx(0.1741319335950498, rel=1e-12)
    assert erlang_c(1.5, 2) == pytest.approx(9 / 14, rel=1e-12)


def exponential(random: Random, mean_s: float) -> Iterator[float]:
    while True:
        yield random.expovariate(1 / mean_s)


def first(count: int, waits: Iterator[float]) -> list[float]:
    """The waits of so many pieces, from the first on: so many that their mean is known to about 1 %."""
    return list(islice(waits, count))


def test_a_press_with_one_dwell_has_the_mean_wait_of_m_d_1() -> None:
    """λ = 0.8, τ = 1: Wq = ρ τ / 2(1 − ρ) = 2 (Pollaczek–Khinchine)."""
    waits = first(500_000, waits_s(exponential(Random(1), 1.25), repeat(1), 1))
    assert fmean(waits) == pytest.approx(2, rel=0.02)


def test_two_presses_have_the_mean_wait_of_m_m_2() -> None:
    """150 packets/s of 10 kbit on two lines of 1 Mbit/s, a textbook's case: P(wait) = 9/14, Wq = 9/14 / 50 s."""
    random = Random(1)
    waits = first(500_000, waits_s(exponential(random, 1 / 150), exponential(random, 1 / 100), 2))
    assert sum(wait > 0 for wait in waits) / len(waits) == pytest.approx(9 / 14, rel=0.02)
    assert fmean(waits) == pytest.approx(9 / 14 / 50, rel=0.02)


def test_as_many_wait_for_fourteen_presses_as_erlang_says() -> None:
    """The published case above; of it 88.835 % of the calls wait for 20 s at most."""
    random = Random(3)
    waits = first(400_000, waits_s(exponential(random, 18), exponential(random, 180), 14))
    assert sum(wait > 0 for wait in waits) / len(waits) == pytest.approx(0.1741319335950498, rel=0.02)
    assert sum(wait <= 20 for wait in waits) / len(waits) == pytest.approx(0.8883500191794669, rel=0.02)


# Penny Fab One (Hopp and Spearman, "Factory Physics", 2nd ed., ch. 7): four stations, two hours each


@pytest.mark.parametrize(("in_process", "cycle_h"), [(1, 8), (2, 8), (4, 8), (5, 10), (8, 16)])
def test_a_line_of_four_presses_has_the_best_cycle_time(in_process: int, cycle_h: float) -> None:
    """With so many pieces always in it, a line takes max(T0, w / rb), with T0 = 8 h and rb = 0.5 an hour."""
    laps = 20
    line = [Visit(stations=(n,), takes_s=2 * 3600, dwell=True) for n in range(4)]
    stays = play([Walker(visits=tuple(line * laps))] * in_process, [0.0] * 4)
    last = [(its[-1].ends_s - its[-5].ends_s) / 3600 for its in stays]
    assert last == [cycle_h] * in_process
