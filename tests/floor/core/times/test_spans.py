"""Spans of time: what they cover together."""

from datetime import datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from floor.core.times.spans import Span, covered, elapsed, union, within
from tests.making import MONDAY

spans = st.lists(st.tuples(st.integers(0, 30), st.integers(0, 30)), max_size=10)
"""Minutes; some end before they begin."""


def at(minute: int) -> datetime:
    return MONDAY + timedelta(minutes=minute)


def moments(minutes: list[tuple[int, int]]) -> list[Span]:
    return [(at(start), at(end)) for start, end in minutes]


def test_spans_that_touch_are_one() -> None:
    assert union(moments([(5, 9), (1, 5)])) == moments([(1, 9)])


def test_a_span_within_another_adds_nothing() -> None:
    assert union(moments([(1, 9), (2, 3)])) == moments([(1, 9)])


def test_spans_apart_stay_apart_and_in_order() -> None:
    assert union(moments([(7, 9), (1, 5)])) == moments([(1, 5), (7, 9)])


def test_a_span_is_cut_to_a_window() -> None:
    assert within(moments([(1, 5), (6, 7), (8, 12)]), at(4), at(9)) == moments([(4, 5), (6, 7), (8, 9)])


def test_no_time_passes_backwards() -> None:
    assert elapsed(at(5), at(3)) == timedelta(0)


@given(spans)
def test_spans_cover_each_minute_that_one_of_them_holds_once(minutes: list[tuple[int, int]]) -> None:
    held = {minute for start, end in minutes for minute in range(start, end)}
    assert covered(moments(minutes)) == timedelta(minutes=len(held))


@given(spans, st.integers(0, 30), st.integers(0, 30))
def test_what_lies_within_a_window_and_what_lies_outside_are_all(
    minutes: list[tuple[int, int]], one: int, other: int
) -> None:
    start, end = sorted((at(one), at(other)))
    parts = [covered(within(moments(minutes), *window)) for window in ((at(0), start), (start, end), (end, at(30)))]
    assert sum(parts, timedelta(0)) == covered(moments(minutes))
