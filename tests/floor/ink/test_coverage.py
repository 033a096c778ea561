"""Ink of whole pictures."""

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.ink.coverage import Coverage, InkUse, ink_use
from shared.files.colours import Rgb
from shared.files.inks import Ink, Inks
from tests.floor.ink.drawn import CLOSE, Planes, colours, covered, images, levels, patch, pixels

INKS = Inks(colour=Ink(laydown_ml_per_m2=Decimal(10)), white=Ink(laydown_ml_per_m2=Decimal(30)))
HALF = pytest.approx(Decimal("0.5"), abs=Decimal("0.002"))
mm = st.decimals(1, 600, places=2)


def ml(got: Coverage, width_mm: int | Decimal = 100, height_mm: int | Decimal = 100) -> InkUse:
    return ink_use(got, INKS, Decimal(width_mm), Decimal(height_mm))


def test_a_solid_white_patch_on_dark_is_its_area_in_white_and_nothing_in_colour() -> None:
    assert ml(covered(patch(255, 255, 255))) == InkUse(white_ml=Decimal("0.3"), colour_ml=Decimal(0))


def test_a_solid_black_patch_on_light_is_its_area_in_colour_and_nothing_in_white() -> None:
    assert ml(covered(patch(0, 0, 0), garment=None)) == InkUse(white_ml=Decimal(0), colour_ml=Decimal("0.1"))


def test_a_solid_red_patch_is_two_colour_inks() -> None:
    assert ml(covered(patch(255, 0, 0), garment=None)).colour_ml == pytest.approx(Decimal("0.2"), abs=CLOSE)


def test_white_on_a_light_garment_takes_no_ink_at_all() -> None:
    assert covered(patch(255, 255, 255), garment=None) == Coverage(white=Decimal(0), colour=Decimal(0))


@given(colours)
def test_a_picture_of_the_garments_colour_takes_no_white(colour: Rgb) -> None:
    assert covered(patch(*colour), garment=colour).white == 0


@given(images)
def test_what_is_clear_takes_no_ink_whatever_its_colour(planes: Planes) -> None:
    planes[..., 3] = 0
    assert covered(pixels(planes)) == Coverage(white=Decimal(0), colour=Decimal(0))


def test_a_picture_without_pixels_takes_no_ink() -> None:
    assert covered() == Coverage(white=Decimal(0), colour=Decimal(0))


def test_half_clear_takes_half() -> None:
    assert covered(patch(255, 255, 255, alpha=128)).white == HALF
    assert covered(patch(0, 0, 0, alpha=128)).colour == HALF


@given(colours, levels)
def test_alpha_scales_both_inks_alike(colour: Rgb, alpha: int) -> None:
    opaque, thin = covered(patch(*colour)), covered(patch(*colour, alpha=alpha))
    assert float(thin.white) == pytest.approx(float(opaque.white) * alpha / 255, abs=2e-6)
    assert float(thin.colour) == pytest.approx(float(opaque.colour) * alpha / 255, abs=2e-6)


@given(images, st.integers(1, 3))
def test_turning_a_picture_changes_nothing(planes: Planes, quarters: int) -> None:
    assert covered(pixels(np.rot90(planes, quarters))) == covered(pixels(planes))


@given(images)
def test_it_does_not_matter_in_which_patches_a_picture_comes(planes: Planes) -> None:
    rows = [pixels(row) for row in planes]
    assert covered(*reversed(rows)) == covered(pixels(planes))


@given(images, images)
def test_two_pictures_side_by_side_cover_the_mean_of_both_by_their_pixels(one: Planes, other: Planes) -> None:
    both = covered(pixels(one), pixels(other))
    parts = [(covered(pixels(each)), each.shape[0] * each.shape[1]) for each in (one, other)]
    mean = sum(part.colour * n for part, n in parts) / sum(n for _, n in parts)
    assert both.colour == pytest.approx(mean, abs=Decimal("2e-6"))


@given(images, mm, mm)
def test_twice_as_wide_and_high_takes_four_times_the_ink(planes: Planes, width: Decimal, height: Decimal) -> None:
    got = covered(pixels(planes))
    small, large = ml(got, width, height), ml(got, 2 * width, 2 * height)
    assert (large.white_ml, large.colour_ml) == (4 * small.white_ml, 4 * small.colour_ml)
