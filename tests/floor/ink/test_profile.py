"""Embedded profiles: what a picture's numbers mean."""

import pytest
from PIL import Image, ImageCms

from floor.ink.coverage import coverage
from floor.ink.picture import Picture
from floor.ink.profile import to_srgb
from tests.floor.ink.drawn import colour_of, read, solid
from tests.floor.ink.profiles import SRGB_PRIMARIES, grey_profile, matrix_profile, odd_cmyk_profile

RED, GREEN, BLUE = SRGB_PRIMARIES
SWAPPED = matrix_profile((GREEN, RED, BLUE), gamma=2.2)


def with_profile(image: Image.Image, profile: bytes, form: str = "PNG") -> Picture:
    return read(image, form, icc_profile=profile)


@pytest.mark.parametrize("form", ["PNG", "TIFF", "JPEG"])
def test_a_picture_is_seen_through_its_profile(form: str) -> None:
    seen = colour_of(with_profile(solid("RGB", (255, 0, 0)), SWAPPED, form))
    assert seen == pytest.approx((0, 255, 0, 255), abs=6)


def test_linear_numbers_become_encoded_ones() -> None:
    """Level 55 of 255 is the linear light of sRGB level 128 (IEC 61966-2-1)."""
    seen = colour_of(with_profile(solid("RGB", (55, 55, 55)), matrix_profile(gamma=1.0)))
    assert seen == pytest.approx((128, 128, 128, 255), abs=1)


def test_greys_are_seen_through_their_profile() -> None:
    seen = colour_of(with_profile(solid("L", 55), grey_profile(gamma=1.0)))
    assert seen == pytest.approx((128, 128, 128, 255), abs=1)


def test_alpha_is_left_as_it_is() -> None:
    assert colour_of(with_profile(solid("RGBA", (255, 0, 0, 77)), SWAPPED))[3] == 77
    assert colour_of(with_profile(solid("LA", (55, 77)), grey_profile(1.0))) == pytest.approx(
        (128, 128, 128, 77), abs=1
    )


@pytest.mark.parametrize("form", ["TIFF", "JPEG"])
def test_cmyk_is_seen_through_its_profile(form: str) -> None:
    """By this profile cyan comes out red, which takes two inks; without it, cyan takes one."""
    cyan = solid("CMYK", (255, 0, 0, 0))
    plain, seen = read(cyan, form), with_profile(cyan, odd_cmyk_profile(), form)
    assert float(coverage(plain.patches(), None).colour) == pytest.approx(1, abs=0.03)
    assert float(coverage(seen.patches(), None).colour) == pytest.approx(2, abs=0.1)


def test_a_palette_is_seen_through_its_profile() -> None:
    seen = colour_of(with_profile(solid("RGB", (255, 0, 0)).quantize(2), SWAPPED))
    assert seen == pytest.approx((0, 255, 0, 255), abs=6)


def test_a_picture_without_a_profile_is_srgb() -> None:
    assert to_srgb(solid("RGB", 0)) is None


def test_a_profile_of_srgb_needs_no_work() -> None:
    image = solid("RGB", 0)
    image.info["icc_profile"] = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    assert to_srgb(image) is None


@pytest.mark.parametrize("profile", [b"", b"no profile", SWAPPED[:200], odd_cmyk_profile(), grey_profile(1.0)])
def test_a_profile_that_is_broken_or_of_another_kind_is_left_aside(profile: bytes) -> None:
    assert colour_of(with_profile(solid("RGB", (200, 30, 40)), profile)) == (200, 30, 40, 255)


def test_a_profile_of_rgb_says_nothing_of_cmyk() -> None:
    cmyk = solid("CMYK", (0, 255, 255, 0))
    assert colour_of(with_profile(cmyk, SWAPPED, "TIFF")) == (255, 0, 0, 255)
