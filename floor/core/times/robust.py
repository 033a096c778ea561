"""Figures of noisy values that a few wrong ones among them cannot spoil.

Never drops a value because it is inconvenient: what lies far out is told by the values themselves.
"""

from collections.abc import Iterable, Sequence
from itertools import combinations_with_replacement
from math import comb
from statistics import NormalDist, median

ENOUGH = 8
"""From fewer values than these the floor learns nothing."""
CONFIDENCE = 0.95
SIGMAS = 1 / NormalDist().inv_cdf(0.75)
"""1.4826: so many median absolute deviations are one standard deviation, where the values are normal."""
FAR = 3.0
"""Beyond so many robust standard deviations from the median a value is of another kind: a slip, a clogged nozzle."""


def deviation(values: Sequence[float]) -> float:
    """The median absolute deviation from the median, as a standard deviation."""
    middle = median(values)
    return SIGMAS * median(abs(value - middle) for value in values)


def without_far(values: Sequence[float]) -> list[float]:
    """The values that do not lie far out: Hampel's identifier, "The Influence Curve", JASA 69 (1974).

    Where more than half of the values are equal, only those are kept.
    """
    middle, most = median(values), FAR * deviation(values)
    return [value for value in values if abs(value - middle) <= most]


def centre(values: Iterable[float]) -> float:
    """The median of the means of all pairs, each value with itself too.

    Hodges and Lehmann, "Estimates of Location Based on Rank Tests", Annals of Mathematical Statistics 34 (1963).
    """
    return median((one + other) / 2 for one, other in combinations_with_replacement(values, 2))


def interval(ordered: Sequence[float]) -> tuple[float, float] | None:
    """Bounds of the median from the order statistics, whatever the distribution; None with too few values.

    The k-th smallest and the k-th largest, with the largest k for which a binomial(n, 1/2) lies below k with at most
    half of what the confidence leaves. Conover, "Practical Nonparametric Statistics", the sign test's interval.
    """
    n, k, below = len(ordered), 0, 0
    while (below := below + comb(n, k)) * 2 <= (1 - CONFIDENCE) * 2**n:
        k += 1
    return (ordered[k - 1], ordered[n - k]) if k else None
