"""Colours for coverage."""

import numpy as np
import pytest
from PIL import Image

from floor.ink.light import WEIGHTS, lightness, linear
from floor.ink.ramp import COLOUR, WHITE, Ramp


def lightness_along(bar: Image.Image) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    row = np.asarray(bar)[0]
    return lightness(linear(row / 255) @ np.array(WEIGHTS))


@pytest.mark.parametrize(("ramp", "way"), [(WHITE, 1), (COLOUR, -1)])
def test_more_ink_is_told_by_lightness_alone(ramp: Ramp, way: int) -> None:
    along = way * lightness_along(ramp.bar(24, 2))
    assert (np.diff(along) > 1).all()


@pytest.mark.parametrize("ramp", [WHITE, COLOUR])
def test_a_scale_goes_from_its_first_colour_to_its_last(ramp: Ramp) -> None:
    bar = ramp.bar(24, 2).convert("RGB")
    ends = ["#{:02x}{:02x}{:02x}".format(*bar.getpixel((x, 1))) for x in (0, 23)]  # type: ignore[misc]
    assert ends == [ramp.colours[0], ramp.colours[-1]]


def test_what_lies_beyond_a_scale_gets_its_last_colour() -> None:
    assert WHITE.paint(np.array([[1.5]], dtype=np.float32)).getpixel((0, 0)) == (255, 255, 255)
