"""Where figures stand on a chart, and which marks its axis has."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.reports.charts.scale import TICKS_MOST, TIMES_S, Scale, TimeScale, scale_of, times_of
from tickets.kit.box import Box

CELL = Box(100, 0, 200, 10)
VALUES = st.lists(st.decimals(-(10**9), 10**9, places=2), min_size=1, max_size=9)


def test_a_value_stands_as_far_along_as_its_share_of_the_scale() -> None:
    scale = scale_of([Decimal(50), Decimal(200)])
    assert [scale.x(value, CELL) for value in (0, 50, 200)] == [100, 150, 300]


def test_a_loss_stands_left_of_zero() -> None:
    scale = scale_of([-50, 150])
    assert scale.x(0, CELL) == 150
    assert scale.between(-50, 0, CELL) == Box(100, 0, 50, 10)


@pytest.mark.parametrize("values", [[100, 40], [100, -5], [0, 0], [2_000, 1_900]])
def test_zero_is_on_every_axis_of_bars(values: list[float]) -> None:
    """A bar is read by its length: one that begins elsewhere shows no share."""
    scale = scale_of(values)
    assert scale.low <= 0 <= scale.high


@given(VALUES)
def test_every_value_lies_in_its_cell_and_larger_ones_further_right(values: list[Decimal]) -> None:
    scale = scale_of(values)
    places = [scale.x(value, CELL) for value in sorted(values)]
    assert places == sorted(places)
    assert places[0] >= CELL.x
    assert places[-1] <= CELL.right


@given(VALUES)
def test_an_axis_has_a_few_marks_and_all_of_them_on_it(values: list[Decimal]) -> None:
    scale = scale_of(values)
    marks = scale.ticks()
    assert 1 <= len(marks) <= TICKS_MOST + 1
    slack = (scale.high - scale.low) * 1e-9
    assert all(scale.low - slack <= mark <= scale.high + slack for mark in marks)


def test_equal_factors_of_a_duration_are_equal_lengths() -> None:
    scale = TimeScale(1, 10_000)
    assert [scale.x(seconds, CELL) for seconds in (1, 10, 100, 10_000)] == pytest.approx([100, 150, 200, 300])
    assert scale.x(0.2, CELL) == 100


@given(st.lists(st.floats(0, 10**8), min_size=1))
def test_durations_lie_on_their_axis_which_begins_with_a_round_one(seconds: list[float]) -> None:
    scale = times_of(seconds)
    assert all(CELL.x <= scale.x(each, CELL) <= CELL.right for each in seconds)
    assert scale.ticks()[0] == scale.low
    assert set(scale.ticks()) <= set(TIMES_S)


def test_an_axis_without_durations_is_one_all_the_same() -> None:
    assert times_of([None]).ticks() == [1, 10]
    assert Scale(0, 0).ticks() == [0]
