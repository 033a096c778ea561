"""From sRGB over linear light to lightness."""

import numpy as np
from hypothesis import given

from floor.ink.light import WEIGHTS, lightness, linear
from tests.floor.ink.drawn import levels


def test_black_has_no_light_and_white_has_all_of_it() -> None:
    assert linear([0, 1]).tolist() == [0, 1]
    assert lightness([0, 1]).tolist() == [0, 100]


def test_the_three_weights_add_up_to_white() -> None:
    assert np.isclose(sum(WEIGHTS), 1)


@given(levels, levels)
def test_more_of_a_grey_is_never_darker(one: int, other: int) -> None:
    low, high = lightness(linear(np.sort([one, other]) / 255))
    assert low <= high
