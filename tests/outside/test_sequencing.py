"""The shop's order and its play against textbooks of scheduling, and against every order there is.

Only where our rule is theirs must the values be theirs; elsewhere ours may be worse, but never better than the best.
"""

from collections.abc import Iterator, Sequence
from itertools import accumulate, islice, permutations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.plan.play import Stays, Visit, Walker, play
from floor.core.plan.sequencing import Batch, bottleneck, first_sequence, turn


def walker(*times_s: float) -> Walker:
    """A piece that goes through the machines 0, 1, 2 … in that order."""
    return Walker(visits=tuple(Visit(stations=(n,), takes_s=takes_s) for n, takes_s in enumerate(times_s)))


def makespan(stays: Stays) -> float:
    return max(its[-1].ends_s for its in stays)


def by_turn(pieces: Sequence[Walker]) -> list[Walker]:
    """The pieces of one job as the shop takes them."""
    busiest = bottleneck(pieces)
    return sorted(pieces, key=lambda piece: turn(piece, busiest))


# Two machines in a row: Johnson (1954), "Optimal two- and three-stage production schedules with setup times included",
# Naval Research Logistics Quarterly 1. The data are examples of introductory courses, their values computed anew here
# over every order.

FIVE = {"L": (10, 2), "M": (5, 4), "N": (7, 5), "O": (3, 6), "P": (1, 7)}
SIX = {"A": (3, 8), "B": (12, 10), "C": (5, 9), "D": (2, 6), "E": (9, 3), "F": (11, 1)}
SEVEN = {"A": (10, 11), "B": (8, 17), "C": (14, 10), "D": (13, 7), "E": (10, 8), "F": (25, 9), "G": (6, 15)}


def two_machines(sequence: Sequence[tuple[int, int]]) -> int:
    """When the second machine is done, by arithmetic alone."""
    first = second = 0
    for a, b in sequence:
        first += a
        second = max(first, second) + b
    return second


@pytest.mark.parametrize(
    ("pieces", "sequence", "least"), [(FIVE, "PONML", 28), (SIX, "DACBEF", 43), (SEVEN, "GBACFED", 93)]
)
def test_two_machines_take_the_pieces_of_a_job_in_johnson_s_order(
    pieces: dict[str, tuple[int, int]], sequence: str, least: int
) -> None:
    line = {name: walker(*times) for name, times in pieces.items()}
    names = sorted(line, key=lambda name: turn(line[name], bottleneck(line.values())))
    assert "".join(names) == sequence
    assert makespan(play([line[name] for name in names], [0, 0])) == least
    assert min(map(two_machines, permutations(pieces.values()))) == least


@given(st.lists(st.tuples(st.integers(1, 30), st.integers(1, 30)), min_size=1, max_size=6))
def test_the_play_of_two_machines_is_the_arithmetic_of_two_machines(times: list[tuple[int, int]]) -> None:
    assert makespan(play([walker(*each) for each in times], [0, 0])) == two_machines(times)


@given(st.lists(st.tuples(st.integers(1, 30), st.integers(1, 30)), min_size=1, max_size=6))
def test_of_two_machines_no_order_is_done_sooner_than_ours(times: list[tuple[int, int]]) -> None:
    ours = makespan(play(by_turn([walker(*each) for each in times]), [0, 0]))
    assert ours == min(map(two_machines, permutations(times)))


# One machine: Jackson (1955), "Scheduling a production line to minimize maximum tardiness": in the order of the due
# times the largest lateness is least. Our order is his while nobody is late. Data of a course on scheduling.

TIMES, DUE = (3, 2, 1, 4, 3, 2), (6, 8, 9, 9, 10, 11)
LEAST_LATENESS = 4


def jobs(times: Sequence[float], due: Sequence[float]) -> list[Batch]:
    return [Batch(due_s=d, weight=1, walkers=(walker(t),)) for t, d in zip(times, due, strict=True)]


def lateness(sequence: Sequence[int], times: Sequence[int], due: Sequence[int]) -> list[int]:
    return [end - due[n] for n, end in zip(sequence, accumulate(times[n] for n in sequence), strict=True)]


def test_nobody_is_later_than_the_least_lateness_that_any_order_allows() -> None:
    every = permutations(range(len(TIMES)))
    assert min(max(lateness(sequence, TIMES, DUE)) for sequence in every) == LEAST_LATENESS
    later = [due + LEAST_LATENESS for due in DUE]
    sequence = first_sequence(jobs(TIMES, later))
    assert sequence == (0, 1, 2, 3, 4, 5)
    assert max(lateness(sequence, TIMES, DUE)) == LEAST_LATENESS


# Moore (1968), "An n job, one machine sequencing algorithm for minimizing the number of late jobs", Management Science
# 15. It counts late jobs; our rule weighs how late they are, so it may let more of them be a little late.

MOORE_TIMES = (19, 23, 5, 31, 17, 8, 32, 41, 26, 18)
MOORE_DUE = (48, 75, 170, 215, 205, 240, 85, 67, 100, 95)
FEWEST_LATE = 2


def over(sequence: Sequence[int]) -> list[int]:
    return [max(each, 0) for each in lateness(sequence, MOORE_TIMES, MOORE_DUE)]


def test_jobs_are_less_late_than_in_the_order_of_their_due_times_and_never_fewer_late_than_moore_s() -> None:
    ours = over(first_sequence(jobs(MOORE_TIMES, MOORE_DUE)))
    by_due = over(sorted(range(10), key=MOORE_DUE.__getitem__))
    assert sum(ours) < sum(by_due)
    assert FEWEST_LATE <= sum(map(bool, ours)) <= sum(map(bool, by_due)) == 4


# Alike machines side by side: Graham (1969), "Bounds on multiprocessing timing anomalies": the longest first is at
# most 4/3 - 1/(3m) times the best; both examples are his worst cases. The pieces of a job that need one step alone are
# taken the longest first.


def side_by_side(times: Sequence[float], machines: int) -> list[Walker]:
    stations = tuple(range(machines))
    return [Walker(visits=(Visit(stations=stations, takes_s=takes_s),)) for takes_s in times]


@pytest.mark.parametrize(
    ("times", "machines", "ours", "best"), [((3, 3, 2, 2, 2), 2, 7, 6), ((5, 5, 4, 4, 3, 3, 3), 3, 11, 9)]
)
def test_machines_side_by_side_take_the_longest_first(
    times: tuple[int, ...], machines: int, ours: int, best: int
) -> None:
    assert makespan(play(by_turn(side_by_side(times[::-1], machines)), [0] * machines)) == ours
    assert least_load(times, machines) == best


@given(st.lists(st.integers(1, 20), min_size=1, max_size=6), st.sampled_from([2, 3]))
def test_the_longest_first_is_within_graham_s_bound(times: list[int], machines: int) -> None:
    ours = makespan(play(by_turn(side_by_side(times, machines)), [0] * machines))
    assert ours <= (4 / 3 - 1 / (3 * machines)) * least_load(times, machines) + 1e-9


def least_load(times: Sequence[int], machines: int) -> int:
    """The least load of the busiest machine, over every way to share the work."""
    return min(
        max(sum(t for t, at in zip(times, share, strict=True) if at == m) for m in range(machines))
        for share in product(range(machines), repeat=len(times))
    )


# Five machines in a row: instance ta001 of Taillard (1993), "Benchmarks for basic scheduling problems", European
# Journal of Operational Research 64, made by the generator of the paper. Its best makespan is 1278.

MODULUS = 2**31 - 1
TA001_SEED, TA001_BEST = 873654221, 1278
TA001_FIRST_ROW = [54, 83, 15, 71, 77, 36, 53, 38, 27, 87, 76, 91, 14, 29, 12, 77, 32, 87, 68, 94]
TA001_BEST_ORDER = (9, 3, 17, 6, 14, 11, 15, 7, 8, 19, 1, 5, 18, 16, 13, 4, 2, 10, 20, 12)
TA001_AS_LISTED = 1448


def taillard(pieces: int, machines: int, seed: int) -> list[list[int]]:
    """By machine, the times of the pieces, from 1 to 99."""
    drawn = islice(_seeds(seed), pieces * machines)
    times = [1 + int(each / MODULUS * 99) for each in drawn]
    return [times[n : n + pieces] for n in range(0, len(times), pieces)]


def _seeds(seed: int) -> Iterator[int]:
    while True:
        seed = 16807 * seed % MODULUS
        yield seed


def test_ta001_is_the_published_instance() -> None:
    rows = taillard(20, 5, TA001_SEED)
    assert rows[0] == TA001_FIRST_ROW


def test_ta001_played_in_a_best_order_takes_the_published_time() -> None:
    pieces = [walker(*times) for times in zip(*taillard(20, 5, TA001_SEED), strict=True)]
    assert makespan(play([pieces[n - 1] for n in TA001_BEST_ORDER], [0] * 5)) == TA001_BEST
    assert makespan(play(pieces, [0] * 5)) == TA001_AS_LISTED


def test_ta001_in_our_order_is_within_a_twentieth_of_the_best_and_never_below_it() -> None:
    pieces = [walker(*times) for times in zip(*taillard(20, 5, TA001_SEED), strict=True)]
    assert TA001_BEST <= makespan(play(by_turn(pieces), [0] * 5)) <= 1.05 * TA001_BEST


# Penny Fab One: Hopp and Spearman, Factory Physics, 2nd edition, chapter 7: four stations of two hours each, a fixed
# number of pieces that go round. Cycle time in hours, throughput in pieces an hour.

ROUNDS = 6


def go_round(pieces: int, hours: float = 2) -> Stays:
    line = tuple(Visit(stations=(n,), takes_s=hours) for n in range(4))
    return play([Walker(visits=line * ROUNDS)] * pieces, [0] * 4)


def last_round_h(stays: Stays) -> list[float]:
    return [its[-1].ends_s - its[-5].ends_s for its in stays]


@pytest.mark.parametrize(("pieces", "throughput"), [(1, 0.125), (2, 0.25), (4, 0.5)])
def test_penny_fab_one_at_its_best_passes_a_piece_on_without_waiting(pieces: int, throughput: float) -> None:
    cycle_h = last_round_h(go_round(pieces))
    assert cycle_h == [8] * pieces
    assert pieces / cycle_h[0] == throughput


def test_penny_fab_one_at_its_worst_moves_all_pieces_as_one() -> None:
    assert last_round_h(go_round(pieces=1, hours=4 * 2)) == [32]
