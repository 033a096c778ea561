"""The order of the shop: jobs among each other, pieces within a job, and what trying other orders is worth."""

from collections.abc import Sequence
from itertools import permutations
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.plan.play import Visit, Walker, play
from floor.core.plan.sequencing import (
    Batch,
    JobSequence,
    Played,
    best_played,
    bottleneck,
    finished_s,
    first_sequence,
    in_sequence,
    turn,
)

PRINTER, PRESS = (0,), (1,)


def visit(stations: tuple[int, ...], takes_s: float) -> Visit:
    return Visit(stations=stations, takes_s=takes_s)


def job(takes_s: float, due_s: float, weight: float = 1) -> Batch:
    """One piece that only needs the printer."""
    return Batch(due_s=due_s, weight=weight, walkers=(Walker(visits=(visit(PRINTER, takes_s),)),))


def played(batches: Sequence[Batch], sequence: JobSequence) -> Played:
    stays = play(in_sequence(batches, sequence), [0.0, 0.0])
    return Played(sequence=sequence, stays=stays, finished_s=finished_s(batches, sequence, stays))


def lateness(batches: Sequence[Batch], sequence: JobSequence) -> float:
    finished = played(batches, sequence).finished_s
    return sum(b.weight * max(at - b.due_s, 0) for b, at in zip(batches, finished, strict=True))


def best(batches: Sequence[Batch]) -> JobSequence:
    return best_played(batches, lambda sequence: played(batches, sequence)).sequence


# Jobs


def test_while_all_can_be_in_time_the_one_due_first_goes_first() -> None:
    assert first_sequence([job(10, 90), job(10, 40), job(10, 60)]) == (1, 2, 0)


def test_of_jobs_that_are_all_late_already_the_shortest_goes_first() -> None:
    assert first_sequence([job(30, -20), job(10, -5), job(20, -50)]) == (1, 2, 0)


def test_a_long_job_that_will_be_late_anyway_does_not_hold_up_one_that_can_be_in_time() -> None:
    assert first_sequence([job(100, 20), job(10, 30)]) == (1, 0)


def test_jobs_that_are_due_at_one_time_keep_their_order() -> None:
    assert first_sequence([job(10, 40), job(10, 40)]) == (0, 1)


def test_where_nothing_waits_there_is_no_order() -> None:
    assert first_sequence([]) == ()


@given(st.lists(st.builds(job, st.integers(1, 50), st.integers(-100, 300)), max_size=12))
def test_each_job_next_in_turn_has_the_least_modified_due_date(batches: list[Batch]) -> None:
    now, left = 0.0, set(range(len(batches)))
    for n in first_sequence(batches):
        work = {each: batches[each].work_s for each in left}
        assert max(batches[n].due_s, now + work[n]) == min(max(batches[m].due_s, now + work[m]) for m in left)
        left.remove(n)
        now += work[n]
    assert not left


# Better orders


def test_an_order_that_makes_jobs_less_late_is_taken() -> None:
    heavy, light = job(20, 0, weight=10), job(10, 0)
    assert first_sequence([heavy, light]) == (1, 0)
    assert best([heavy, light]) == (0, 1)


def test_an_order_that_is_hardly_better_is_not_taken() -> None:
    assert best([job(20, -10_000, weight=2.05), job(10, -10_000)]) == (1, 0)


def test_when_no_job_is_late_no_other_order_is_tried() -> None:
    tried = []
    batches = [job(10, 100), job(10, 50)]
    best_played(batches, lambda sequence: tried.append(sequence) or played(batches, sequence))  # type: ignore[func-returns-value]
    assert tried == [(1, 0)]


def test_a_job_that_cannot_be_finished_does_not_count_as_late() -> None:
    stuck = Batch(due_s=0, weight=1, walkers=(Walker(visits=(Visit(stations=(1,), takes_s=5),)),))
    batches = [stuck, job(10, 100)]

    def with_one_down(sequence: JobSequence) -> Played:
        stays = play(in_sequence(batches, sequence), [0.0, inf])
        return Played(sequence=sequence, stays=stays, finished_s=finished_s(batches, sequence, stays))

    assert best_played(batches, with_one_down).finished_s == [inf, 10]


few = st.lists(st.builds(job, st.integers(1, 50), st.integers(0, 120)), min_size=1, max_size=5)


@given(few)
def test_no_order_is_worse_than_the_first_or_better_than_the_best_of_all(batches: list[Batch]) -> None:
    least = min(lateness(batches, sequence) for sequence in permutations(range(len(batches))))
    assert least <= lateness(batches, best(batches)) <= lateness(batches, first_sequence(batches))


# Pieces of one job


def piece(before_s: float, at_press_s: float) -> Walker:
    return Walker(visits=(visit(PRINTER, before_s), visit(PRESS, at_press_s)))


def test_the_bottleneck_has_the_most_to_do() -> None:
    assert bottleneck([piece(10, 20), piece(10, 5)]) == PRESS
    assert bottleneck([piece(10, 5), piece(10, 5)]) == PRINTER


def test_two_stations_share_what_there_is_to_do() -> None:
    two = Visit(stations=(0, 2), takes_s=30)
    assert bottleneck([Walker(visits=(two, visit(PRESS, 20)))]) == PRESS


def test_where_nobody_queues_there_is_no_bottleneck() -> None:
    assert bottleneck([Walker(visits=(visit((), 10),))]) == ()


@pytest.mark.parametrize(
    ("first", "then"),
    [
        (piece(5, 20), piece(10, 20)),  # the press has work sooner
        (piece(10, 20), piece(30, 20)),
        (piece(30, 20), piece(40, 10)),  # less is left when the printer is done
        (piece(10, 30), piece(10, 20)),
        (Walker(visits=(visit(PRESS, 30),)), piece(1, 30)),  # further along
    ],
)
def test_the_pieces_of_a_job_keep_the_bottleneck_fed(first: Walker, then: Walker) -> None:
    assert turn(first, PRESS) < turn(then, PRESS)


@pytest.mark.parametrize(("late", "better"), [(2, (0, 2, 1)), (2, (2, 0, 1)), (0, (1, 0, 2)), (0, (1, 2, 0))])
def test_a_late_job_is_tried_one_and_two_places_earlier_and_later(late: int, better: JobSequence) -> None:
    """All are due in the first sequence's turns; what is late is told, so that only that change can help."""
    batches = [job(1, due_s) for due_s in (10, 20, 30)]

    def told(sequence: JobSequence) -> Played:
        ends = [1_000.0 if n == late and sequence != better else 0.0 for n in range(3)]
        return Played(sequence=sequence, stays=[], finished_s=ends)

    assert first_sequence(batches) == (0, 1, 2)
    assert best_played(batches, told).sequence == better


def test_the_turn_of_a_piece_is_johnson_s_around_the_bottleneck_and_then_the_longest_first() -> None:
    """Before it 5, at it 7, after it 3: of the first two machines 5 < 10, of the others 7 > 3. Worked by hand."""
    visits = (visit((0,), 5), visit((1,), 7), visit((2,), 3))
    assert turn(Walker(visits=visits), (1,)) == (0, 5, 1, -3, -15)
