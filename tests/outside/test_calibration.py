"""Robust figures against published examples, and the calibration of ink against readings that were made up.

Median absolute deviation: {1, 1, 2, 2, 4, 6, 9} has 1 (the worked example in common encyclopaedias, from memory);
{30, 41, 37, 92} has 5.5 (published example). Its factor for a normal distribution is 1 / quantile(0.75), which is
1.482602218505602 (Rousseeuw and Croux, "Alternatives to the Median Absolute Deviation", JASA 88 (1993)). Hodges and
Lehmann's estimate: computed by hand from its definition as the median of the means of all pairs, each value with itself
too.
"""

from collections.abc import Sequence
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.core.ink.calibration import calibrations
from floor.core.times.robust import SIGMAS, centre, deviation, without_far
from tests.floor.core.ink.inked import noisy, printed_pieces, read
from tests.making import Play

WILD = (0.1, 3.0, 10.0)
"""A clogged nozzle, a print that was laid down three times, a slip of the decimal point."""


def test_the_factor_of_a_deviation_is_that_of_the_normal_distribution() -> None:
    assert pytest.approx(1.482602218505602, rel=1e-12) == SIGMAS


@pytest.mark.parametrize(("values", "expected"), [((1, 1, 2, 2, 4, 6, 9), 1.0), ((30, 41, 37, 92), 5.5)])
def test_the_median_absolute_deviation(values: Sequence[float], expected: float) -> None:
    assert deviation(values) == pytest.approx(expected * SIGMAS)


@pytest.mark.parametrize(
    ("values", "expected"), [((1, 1, 2, 2, 4, 6, 9), 3.25), ((2, 4, 6, 100), 5.5), ((20, 23, 19, 18, 24, 25), 21.5)]
)
def test_the_centre_by_hodges_and_lehmann(values: Sequence[float], expected: float) -> None:
    assert centre(values) == expected


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=30), st.floats(-1e3, 1e3))
def test_the_centre_moves_with_the_values(values: list[float], by: float) -> None:
    assert centre([value + by for value in values]) == pytest.approx(centre(values) + by, abs=1e-6)


def test_wild_values_are_left_aside_and_no_others() -> None:
    values = [0.98, 1.0, 1.01, 1.02, 1.03, 10.0]
    assert without_far(values) == values[:5]


@pytest.mark.parametrize("seed", range(12))
def test_from_thirty_noisy_readings_with_three_wild_ones_the_factor_is_recovered_within_three_per_cent(
    seed: int,
) -> None:
    """Single readings are 5 % off (one standard deviation): that of the estimate is then 1 %."""
    random = Random(seed)
    factor = random.uniform(0.6, 1.8)
    play = Play()
    pieces = printed_pieces(play, 30)
    estimated = play.piece(pieces[0]).route[1].uses.estimated_ml
    assert estimated is not None
    for piece, ratio in zip(pieces, noisy(random, factor, 30, WILD), strict=True):
        read(play, piece, white=f"{float(estimated) * ratio:.4f}")
    white, _ = calibrations(play.floor, play.now)
    assert white.factor is not None
    assert abs(float(white.factor) / factor - 1) <= 0.03
    assert (white.n, white.far >= len(WILD)) == (30, True)
    assert white.spread is not None
    assert 0.02 < white.spread < 0.1
