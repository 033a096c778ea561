"""Figures that a few wrong values cannot spoil."""

from random import Random

import pytest

from floor.core.times.robust import interval


@pytest.mark.parametrize(("n", "k"), [(5, None), (6, 1), (8, 1), (10, 2), (20, 6), (50, 18)])
def test_the_interval_of_a_median_is_that_of_the_sign_test(n: int, k: int | None) -> None:
    """Ranks of the 95 % interval: tables of the binomial distribution with p = 1/2, recomputed."""
    assert interval(range(1, n + 1)) == (None if k is None else (k, n + 1 - k))


def test_the_interval_holds_the_true_median_at_least_as_often_as_it_says() -> None:
    random, trials = Random(3), 2_000
    samples = (sorted(random.lognormvariate(0, 1) for _ in range(25)) for _ in range(trials))
    covered = sum(1 for sample in samples if (bounds := interval(sample)) and bounds[0] <= 1 <= bounds[1])
    assert covered / trials >= 0.95 - 3 * (0.95 * 0.05 / trials) ** 0.5
