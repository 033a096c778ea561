"""Split conformal prediction: ranks and coverage.

Ranks: ceil((n + 1)(1 - alpha)), Lei, G'Sell, Rinaldo, Tibshirani, Wasserman, "Distribution-Free Predictive Inference
for Regression", JASA 113 (2018), section 2.2; values computed from that formula by hand.
"""

from random import Random

import pytest

from floor.core.plan.band import rank


@pytest.mark.parametrize(
    ("n", "alpha", "expected"),
    [(9, 0.1, 9), (8, 0.1, None), (19, 0.05, 19), (18, 0.05, None), (99, 0.1, 90), (100, 0.1, 91), (50, 0.2, 41)],
)
def test_the_rank_of_the_score_that_bounds_the_next(n: int, alpha: float, expected: int | None) -> None:
    assert rank(n, alpha) == expected


@pytest.mark.parametrize("n", [9, 20, 100])
def test_the_next_score_is_covered_as_often_as_promised(n: int) -> None:
    """At least 1 - alpha, at most 1 - alpha + 1/(n + 1) without ties: within three standard errors of 20,000 trials."""
    random, trials, alpha = Random(5), 20_000, 0.1
    bound = rank(n, alpha)
    assert bound is not None
    covered = 0
    for _ in range(trials):
        scores = sorted(random.lognormvariate(0, 1) for _ in range(n))
        covered += random.lognormvariate(0, 1) <= scores[bound - 1]
    error = 3 * (0.9 * 0.1 / trials) ** 0.5
    assert 1 - alpha - error <= covered / trials <= 1 - alpha + 1 / (n + 1) + error
