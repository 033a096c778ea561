"""Pictures for the ink tests, and the bytes of their files."""

from decimal import Decimal
from io import BytesIO
from typing import Any

import numpy as np
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from numpy.typing import NDArray
from PIL import Image

from floor.ink.coverage import Coverage, coverage
from floor.ink.picture import Picture, read_picture
from floor.ink.pixels import Pixels
from floor.ink.underlayer import UnderlayerCurve
from shared.files.colours import Rgb
from shared.files.inks import Underlayer

BLACK: Rgb = (0, 0, 0)
CLOSE = Decimal("0.0001")
Planes = NDArray[np.uint8]


def pixels(planes: Planes) -> Pixels:
    """Pixels from an array whose last axis is red, green, blue, alpha."""
    return Pixels(*np.moveaxis(planes, -1, 0))


def patch(*colour: int, alpha: int = 255) -> Pixels:
    """A few pixels of one colour."""
    return pixels(np.full((2, 3, 4), (*colour, alpha), dtype=np.uint8))


def on(garment: Rgb, **wishes: Any) -> UnderlayerCurve:
    """The underlayer on a dark garment of a colour."""
    return UnderlayerCurve(Underlayer(**wishes), garment)


def covered(*patches: Pixels, garment: Rgb | None = BLACK) -> Coverage:
    """What they cover on a dark garment, or without one on a light one."""
    return coverage(patches, None if garment is None else on(garment))


def solid(mode: str, colour: Any, size: tuple[int, int] = (8, 6)) -> Image.Image:
    """A picture of one colour."""
    return Image.new(mode, size, colour)


def saved(image: Image.Image, form: str, **options: Any) -> BytesIO:
    """A picture as a file."""
    file = BytesIO()
    image.save(file, form, **options)
    file.seek(0)
    return file


def read(image: Image.Image, form: str = "PNG", **options: Any) -> Picture:
    """A picture, saved and read again."""
    return read_picture(saved(image, form, **options))


def whole(picture: Picture) -> Planes:
    """Every pixel of a picture that is one patch, as red, green, blue, alpha."""
    (only,) = picture.patches()
    return np.stack(only, axis=-1)


def colour_of(picture: Picture) -> tuple[int, ...]:
    """The colour and alpha in the middle of a picture."""
    planes = whole(picture)
    return tuple(map(int, planes[planes.shape[0] // 2, planes.shape[1] // 2]))


levels = st.integers(0, 255)
colours = st.tuples(levels, levels, levels)
images = arrays.arrays(np.uint8, st.tuples(st.integers(1, 7), st.integers(1, 7), st.just(4)))
