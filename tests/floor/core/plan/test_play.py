"""Work carried forward: small floors worked out by hand, and what holds for every floor."""

from itertools import pairwise
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.plan.play import Closing, Stay, Stays, Visit, Walker, play

LIMIT_S = 100.0


def prints(takes_s: float = 10, stations: tuple[int, ...] = (0,)) -> Visit:
    return Visit(stations=stations, takes_s=takes_s)


def cures(takes_s: float = 30, limit_s: float = LIMIT_S, stations: tuple[int, ...] = (1,)) -> Visit:
    return Visit(stations=stations, takes_s=takes_s, dwell=True, limit_s=limit_s)


def walkers(count: int, *visits: Visit) -> list[Walker]:
    return [Walker(visits=visits)] * count


def when(stays: Stays) -> list[list[tuple[float, float]]]:
    return [[(stay.starts_s, stay.ends_s) for stay in its] for its in stays]


# Stations


def test_a_station_takes_one_piece_at_a_time_the_first_first() -> None:
    assert when(play(walkers(3, prints()), [0])) == [[(0, 10)], [(10, 20)], [(20, 30)]]


def test_of_two_stations_that_are_free_the_first_takes_the_piece() -> None:
    stays = play(walkers(3, prints(stations=(0, 1))), [0, 0])
    assert [its[0].station for its in stays] == [0, 1, 0]


def test_a_station_that_is_busy_takes_work_when_it_is_free() -> None:
    assert when(play(walkers(1, prints()), [7])) == [[(7, 17)]]


def test_a_step_that_no_station_does_is_not_queued_for() -> None:
    assert when(play(walkers(2, prints(stations=())), [])) == [[(0, 10)], [(0, 10)]]


def test_a_piece_in_work_goes_on_and_then_to_its_next_step() -> None:
    inside = Walker(visits=(prints(), prints(5, stations=(1,))), inside_until_s=3)
    assert when(play([inside], [3, 0])) == [[(0, 3), (3, 8)]]


def test_a_station_that_is_down_takes_nothing() -> None:
    assert play(walkers(1, prints()), [inf]) == [[]]


def test_the_better_piece_goes_first_though_it_came_at_the_same_moment_from_elsewhere() -> None:
    better, worse = (
        Walker(visits=(prints(10), prints(5, stations=(2,)))),
        Walker(visits=(prints(10, (1,)), prints(5, (2,)))),
    )
    assert when(play([better, worse], [0, 0, 0])) == [[(0, 10), (10, 15)], [(0, 10), (15, 20)]]


# Presses


def test_a_press_takes_the_pieces_that_wait_for_it_in_its_own_order() -> None:
    assert when(play(walkers(2, cures()), [0, 0], at_press=[1, 0])) == [[(30, 60)], [(0, 30)]]


def test_the_press_that_is_free_first_takes_the_next_piece() -> None:
    stays = play(walkers(2, cures(stations=(0, 1))), [20, 0], at_press=[0, 1])
    assert [(its[0].station, its[0].starts_s) for its in stays] == [(1, 0), (0, 20)]


def test_no_print_is_begun_that_would_dry_before_a_press_takes_it() -> None:
    stays = play(walkers(1, prints(10), cures(limit_s=5)), [0, 40])
    assert when(stays) == [[(25, 35), (40, 70)]]


def test_another_piece_is_printed_while_one_waits_for_the_press_to_be_near() -> None:
    wet, dry = Walker(visits=(prints(10), cures(limit_s=5))), Walker(visits=(prints(10),))
    assert when(play([wet, dry], [0, 40])) == [[(25, 35), (40, 70)], [(0, 10)]]


def test_without_a_limit_a_print_does_not_wait_for_the_press() -> None:
    assert when(play(walkers(1, prints(10), cures(limit_s=inf)), [0, 40])) == [[(0, 10), (40, 70)]]


def test_no_print_is_begun_that_would_lie_wet_while_the_shop_is_closed() -> None:
    night = Closing(at_s=20, lasts_s=50_000)
    stays = play(walkers(1, prints(10), cures()), [0, 25], breaks=[night])
    assert when(stays) == [[(20, 30), (30, 60)]]


def test_a_break_shorter_than_what_is_left_of_the_limit_holds_up_no_print() -> None:
    stays = play(walkers(1, prints(10), cures()), [0, 25], breaks=[Closing(at_s=20, lasts_s=60)])
    assert when(stays) == [[(0, 10), (25, 55)]]


def test_nothing_is_printed_for_presses_that_are_all_down() -> None:
    assert play(walkers(1, prints(), cures()), [0, inf]) == [[]]


# Hands


def packs() -> Visit:
    return Visit(stations=(0, 1), takes_s=10, touch_s=10)


def test_one_pair_of_hands_is_at_one_station_at_a_time() -> None:
    assert when(play(walkers(2, packs()), [0, 0], hands=1)) == [[(0, 10)], [(10, 20)]]


def test_without_a_number_of_hands_there_are_as_many_as_are_needed() -> None:
    assert when(play(walkers(2, packs()), [0, 0])) == [[(0, 10)], [(0, 10)]]


def test_a_machine_that_is_loaded_sets_the_hands_free() -> None:
    loads = Visit(stations=(0, 1), takes_s=10, touch_s=2)
    assert when(play(walkers(2, loads), [0, 0], hands=1)) == [[(0, 10)], [(2, 12)]]


def test_where_hands_are_short_the_better_piece_gets_them() -> None:
    better, worse = Visit(stations=(1,), takes_s=10, touch_s=10), Visit(stations=(0,), takes_s=10, touch_s=10)
    assert when(play([Walker(visits=(better,)), Walker(visits=(worse,))], [0, 0], hands=1)) == [[(0, 10)], [(10, 20)]]


def test_a_press_does_not_wait_for_hands() -> None:
    pressed = Visit(stations=(2,), takes_s=30, touch_s=5, dwell=True)
    stays = play([Walker(visits=(packs(),)), Walker(visits=(pressed,))], [0, 0, 0], hands=1, at_press=[1])
    assert when(stays) == [[(5, 15)], [(0, 30)]]


# Always

PRINTERS, PRESSES, TABLE = (0, 1), (2, 3), (4,)
takes = st.integers(1, 40).map(float)
plain = st.builds(
    Visit, stations=st.sampled_from([(), PRINTERS, (1,), TABLE]), takes_s=takes, touch_s=st.sampled_from([0.0, 1.0])
)
pressed = st.builds(
    Visit, stations=st.just(PRESSES), takes_s=takes, dwell=st.just(True), limit_s=st.sampled_from([0.0, 30.0, inf])
)
routes = st.lists(st.one_of(plain, plain, pressed), min_size=1, max_size=5).map(tuple)
floors = st.lists(st.builds(Walker, visits=routes, inside_until_s=st.sampled_from([None, None, 5.0])), max_size=9)
hands_there = st.sampled_from([None, 1, 2])
nights = st.lists(st.integers(1, 300), unique=True, max_size=3).map(
    lambda ats: [Closing(at, 50.0) for at in sorted(ats)]
)
FREE = [0.0, 3.0, 0.0, 50.0, 0.0]


@given(floors, hands_there, nights)
def test_every_piece_does_all_its_steps(pieces: list[Walker], hands: int | None, breaks: list[Closing]) -> None:
    stays = play(pieces, FREE, hands=hands, breaks=breaks)
    assert [len(its) for its in stays] == [len(piece.visits) for piece in pieces]


@given(floors, hands_there, nights)
def test_no_step_begins_before_the_one_before_is_done(
    pieces: list[Walker], hands: int | None, breaks: list[Closing]
) -> None:
    for its in play(pieces, FREE, hands=hands, breaks=breaks):
        assert all(before.ends_s <= after.starts_s for before, after in pairwise(its))


@given(floors, hands_there, nights)
def test_a_station_never_does_two_things_at_once(
    pieces: list[Walker], hands: int | None, breaks: list[Closing]
) -> None:
    stays = play(pieces, FREE, hands=hands, breaks=breaks)
    for station, free_s in enumerate(FREE):
        there = sorted((stay.starts_s, stay.ends_s) for its in stays for stay in its if stay.station == station)
        assert all(ends <= starts for (_, ends), (starts, _) in pairwise([(0.0, free_s), *there]))


@given(floors, hands_there, nights)
def test_each_step_takes_its_time_at_a_station_that_does_it(
    pieces: list[Walker], hands: int | None, breaks: list[Closing]
) -> None:
    for piece, its in zip(pieces, play(pieces, FREE, hands=hands, breaks=breaks), strict=True):
        for n, (visit, stay) in enumerate(zip(piece.visits, its, strict=True)):
            if n or piece.inside_until_s is None:
                assert stay.ends_s - stay.starts_s == pytest.approx(visit.takes_s)
                assert stay.station in visit.stations if visit.stations else stay.station is None


@given(floors, nights)
def test_what_is_not_wet_yet_is_never_wet_for_too_long(pieces: list[Walker], breaks: list[Closing]) -> None:
    """A press is booked when the print begins: the time until it closes is known, and kept."""
    for piece, its in zip(pieces, play(pieces, FREE, breaks=breaks), strict=True):
        for n, (before, stay) in enumerate(pairwise(its), start=1):
            printed_by_the_plan = before.station is not None and not piece.visits[n - 1].dwell
            if piece.visits[n].dwell and printed_by_the_plan:
                assert wet_s(before, stay, breaks) <= piece.visits[n].limit_s + 1e-6


def wet_s(printed: Stay, closed: Stay, breaks: list[Closing]) -> float:
    nights_s = sum(each.lasts_s for each in breaks if printed.ends_s <= each.at_s < closed.starts_s)
    return closed.starts_s - printed.ends_s + nights_s


@given(floors, st.integers(1, 3))
def test_hands_are_never_at_more_stations_than_there_are_pairs(pieces: list[Walker], hands: int) -> None:
    stays = play(pieces, FREE, hands=hands)
    touches = [
        (stay.starts_s, stay.starts_s + visit.touch_s)
        for piece, its in zip(pieces, stays, strict=True)
        for n, (visit, stay) in enumerate(zip(piece.visits, its, strict=True))
        if visit.touch_s and visit.stations and (n or piece.inside_until_s is None)
    ]
    for starts, _ in touches:
        assert sum(begins <= starts < ends for begins, ends in touches) <= hands


@given(floors, hands_there, nights)
def test_the_same_floor_is_played_the_same_way(pieces: list[Walker], hands: int | None, breaks: list[Closing]) -> None:
    assert play(pieces, FREE, hands=hands, breaks=breaks) == play(pieces, FREE, hands=hands, breaks=breaks)
