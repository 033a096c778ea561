"""Figures of noisy values that a few wrong ones among them cannot spoil.

Never drops a value because it is inconvenient: what lies far out is told by the values themselves.
"""

from collections.abc import Iterable, Sequence
from itertools import combinations_with_replacement
from statistics import NormalDist, median

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
