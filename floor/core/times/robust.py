"""Figures of noisy values that a few wrong ones among them cannot spoil.

Never drops a value because it is inconvenient: what lies far out is told by the values themselves.
"""

from collections.abc import Iterable, Sequence
from itertools import combinations_with_replacement
from math import log, sqrt
from statistics import NormalDist, fmean, median, stdev

ENOUGH = 8
"""From fewer values than these the floor learns nothing."""
CONFIDENCE = 0.95
SIGMAS = 1 / NormalDist().inv_cdf(0.75)
"""1.4826: so many median absolute deviations are one standard deviation, where the values are normal."""
FAR = 3.0
"""Beyond so many robust standard deviations from the median a value is of another kind: a slip, a clogged nozzle."""

FAR_LOGS = 4.0
"""The same for logarithms of times, which are skewed."""
MEANS_MIN = 5
"""From fewer means than these the floor has no bounds."""
T_TERMS = (
    (4, {3: 1, 1: 1}),
    (96, {5: 5, 3: 16, 1: 3}),
    (384, {7: 3, 5: 19, 3: 17, 1: -15}),
    (92_160, {9: 79, 7: 776, 5: 1_482, 3: -1_920, 1: -945}),
)
"""By power of one over the degrees of freedom: a divisor, and the factors of powers of the normal quantile."""


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


def without_far_logs(values: Sequence[float]) -> list[float]:
    """Times above nothing without those that are of another kind: beyond four robust deviations of their logarithms."""
    logs = [log(value) for value in values]
    middle, most = median(logs), FAR_LOGS * deviation(logs)
    return [value for value, its_log in zip(values, logs, strict=True) if abs(its_log - middle) <= most]


def mean_interval(values: Sequence[float]) -> tuple[float, float]:
    """Bounds of the mean of at least `MEANS_MIN` normal values, by Student's t, with the confidence above."""
    half = t_quantile(len(values) - 1) * stdev(values) / sqrt(len(values))
    return fmean(values) - half, fmean(values) + half


def t_quantile(freedom: int) -> float:
    """The quantile of Student's t that leaves half of what the confidence leaves above it; four degrees at least.

    The expansion of Abramowitz and Stegun, "Handbook of Mathematical Functions", 26.7.5: within 0.05 % there.
    """
    z = NormalDist().inv_cdf((1 + CONFIDENCE) / 2)
    return z + sum(
        sum(factor * z**power for power, factor in term.items()) / (divisor * float(freedom) ** n)
        for n, (divisor, term) in enumerate(T_TERMS, start=1)
    )
