"""White under colour on dark garments."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.ink.underlayer import Garment, underlayer_on
from shared.files.colours import Rgb
from shared.files.inks import Underlayer
from tests.floor.ink.drawn import BLACK, colours, levels, on, patch

NAVY = (31, 42, 68)


def white_under(*colour: int, garment: Rgb = BLACK, **wishes: float) -> float:
    return float(on(garment, **wishes).shares(patch(*colour)).mean())


def test_a_light_garment_has_no_underlayer() -> None:
    assert underlayer_on(Garment(shade="light", colour="white", looks=(255, 255, 255)), Underlayer()) is None


def test_a_dark_garment_has_one() -> None:
    assert underlayer_on(Garment(shade="dark", colour="black", looks=BLACK), Underlayer()) is not None


@given(colours)
def test_what_has_the_garments_colour_gets_none(colour: Rgb) -> None:
    assert white_under(*colour, garment=colour) == 0


@given(garment=colours, off=st.tuples(*[st.integers(-24, 24)] * 3))
def test_what_comes_near_the_garments_colour_gets_none(garment: Rgb, off: Rgb) -> None:
    near = tuple(min(max(level + step, 0), 255) for level, step in zip(garment, off, strict=True))
    assert white_under(*near, garment=garment, none_within_levels=24) == 0


def test_between_once_and_twice_the_nearness_it_comes_in_evenly() -> None:
    near = {"garment": (200, 200, 200), "none_within_levels": 20}
    got = [white_under(200, 200 + step, 200, **near) for step in (20, 25, 30, 40)]  # type: ignore[arg-type]
    assert got == pytest.approx([0, 0.25, 0.5, 1])


def test_a_nearness_of_nothing_spares_the_garments_own_colour_alone() -> None:
    assert white_under(31, 42, 68, garment=NAVY, none_within_levels=0) == 0
    assert white_under(31, 42, 69, garment=NAVY, none_within_levels=0) > 0.2


def test_white_gets_all_of_it() -> None:
    assert white_under(255, 255, 255) == 1


def test_from_the_wished_lightness_on_a_pixel_gets_all_of_it() -> None:
    assert white_under(119, 119, 119, full_from_l=50) == 1
    assert white_under(118, 118, 118, full_from_l=50) == pytest.approx(49.637 / 50, abs=1e-3)


def test_a_darker_pixel_gets_the_share_of_its_lightness() -> None:
    assert white_under(64, 64, 64, full_from_l=60) == pytest.approx(27.0934 / 60, abs=1e-3)


@given(st.tuples(levels, levels).map(sorted))
def test_the_brighter_a_grey_the_more_white_is_under_it(greys: list[int]) -> None:
    dark, bright = (white_under(grey, grey, grey) for grey in greys)
    assert dark <= bright


@given(colour=colours, garment=colours)
def test_no_pixel_gets_less_than_none_or_more_than_all(colour: Rgb, garment: Rgb) -> None:
    assert 0 <= white_under(*colour, garment=garment) <= 1
