"""Figures that a few wrong values cannot spoil, and bounds of means."""

from random import Random

import pytest

from floor.core.times.robust import mean_interval, t_quantile, without_far_logs


@pytest.mark.parametrize(
    ("freedom", "t"),
    [(4, 2.776), (5, 2.571), (6, 2.447), (8, 2.306), (10, 2.228), (20, 2.086), (30, 2.042), (120, 1.980)],
)
def test_student_s_t_is_that_of_the_tables(freedom: int, t: float) -> None:
    """Any table of the t distribution, two sides, 95 %; from memory."""
    assert t_quantile(freedom) == pytest.approx(t, abs=0.0015)


def test_the_interval_of_a_mean_is_that_of_a_textbook() -> None:
    """Worked by hand: mean 10, standard deviation sqrt(2.5), 2.776 times that by sqrt(5)."""
    assert list(mean_interval([8, 9, 10, 11, 12])) == pytest.approx([8.037, 11.963], abs=0.002)


def test_the_interval_holds_the_true_mean_as_often_as_it_says() -> None:
    random, trials = Random(3), 4_000
    samples = ([random.gauss(7, 2) for _ in range(6)] for _ in range(trials))
    covered = sum(1 for low, high in map(mean_interval, samples) if low <= 7 <= high)
    assert covered / trials == pytest.approx(0.95, abs=3 * (0.95 * 0.05 / trials) ** 0.5)


def test_times_of_another_kind_are_left_out_on_both_sides() -> None:
    usual = [82.0, 85.0, 88.0, 90.0, 92.0, 95.0, 98.0]
    assert without_far_logs([1.0, *usual, 900.0]) == usual
