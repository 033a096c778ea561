"""What cyan, magenta, yellow and black each pixel takes."""

import pytest
from hypothesis import given

from floor.ink.separation import HUE_FROM, colour_shares
from shared.files.colours import Rgb
from tests.floor.ink.drawn import colours, patch


def ink_of(*colour: int) -> float:
    return float(colour_shares(patch(*colour)).mean())


def test_white_takes_no_ink() -> None:
    assert ink_of(255, 255, 255) == pytest.approx(0, abs=1e-6)


def test_black_takes_black_alone() -> None:
    assert ink_of(0, 0, 0) == 1


@pytest.mark.parametrize(("colour", "inks"), [((0, 255, 255), 1), ((255, 0, 255), 1), ((255, 255, 0), 1)])
def test_the_printers_own_colours_take_one_ink(colour: Rgb, inks: int) -> None:
    assert ink_of(*colour) == pytest.approx(inks)


@pytest.mark.parametrize("colour", [(255, 0, 0), (0, 255, 0), (0, 0, 255)])
def test_red_green_and_blue_take_two(colour: Rgb) -> None:
    assert ink_of(*colour) == pytest.approx(2)


@given(colours.filter(lambda colour: max(colour) >= HUE_FROM))
def test_ink_is_what_the_four_channels_add_up_to(colour: Rgb) -> None:
    red, green, blue = (level / 255 for level in colour)
    black = 1 - max(red, green, blue)
    cyan, magenta, yellow = ((1 - level - black) / (1 - black) for level in (red, green, blue))
    assert ink_of(*colour) == pytest.approx(cyan + magenta + yellow + black, abs=1e-5)


@given(colours)
def test_no_pixel_takes_more_than_three_full_laydowns(colour: Rgb) -> None:
    assert -1e-6 <= ink_of(*colour) <= 3


@pytest.mark.parametrize("noise", [(1, 0, 0), (0, 2, 1), (3, 1, 0)])
def test_noise_around_black_is_printed_about_as_black(noise: Rgb) -> None:
    assert ink_of(*noise) == pytest.approx(1, abs=0.35)


@given(colours)
def test_one_level_more_or_less_near_black_makes_no_jump(colour: Rgb) -> None:
    red, green, blue = (level // 13 for level in colour)
    assert ink_of(red, green, blue) == pytest.approx(ink_of(red + 1, green, blue), abs=0.2)
