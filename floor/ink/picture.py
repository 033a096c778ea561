"""Pictures from files: PNG, JPEG and TIFF, in whatever way their colours are written, as patches of sRGB pixels.

Never reckons with them, and never lets a broken or a monstrous file through.
"""

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

import numpy as np
from PIL import Image, ImageOps, UnidentifiedImageError

from floor.ink.pixels import Pixels
from floor.ink.profile import ToSrgb, to_srgb
from shared.files.problems import Problem, ProblemsFound

PIXELS_MAX = 89_000_000
"""16 × 20 inches at 500 dpi are fewer. A picture is unpacked to at most four bytes for each."""
PATCH_PIXELS = 2**16
"""So many are reckoned with at a time: few enough to stay in a processor's cache."""
SAMPLES = 4
"""Pixels that are looked at, across and down, for one of a small picture."""

_FORMATS = ("PNG", "JPEG", "TIFF")
_SIXTEEN_BITS = ("I;16", "I;16L", "I;16B", "I;16N")
_MODES = ("1", "L", "LA", "La", "P", "PA", "RGB", "RGBX", "RGBA", "RGBa", "CMYK", "YCbCr", *_SIXTEEN_BITS)
_ORIENTATION = 0x0112
_SIDEWAYS = (5, 6, 7, 8)


class Picture:
    """A picture that was read whole. `size_px`, width and height, is as it is looked at: its orientation is heeded."""

    def __init__(self, image: Image.Image) -> None:
        self._image = image
        self._to_srgb = to_srgb(image)
        self._orientation = image.getexif().get(_ORIENTATION, 1)
        self.size_px = image.size[::-1] if self._orientation in _SIDEWAYS else image.size

    def patches(self) -> Iterator[Pixels]:
        """Every pixel once, patch by patch, as they lie in the file."""
        width, height = self._image.size
        across = min(width, PATCH_PIXELS)
        down = max(PATCH_PIXELS // across, 1)
        for top in range(0, height, down):
            for left in range(0, width, across):
                box = (left, top, min(left + across, width), min(top + down, height))
                yield _pixels(self._image.crop(box), self._to_srgb)

    def small(self, size_px: tuple[int, int]) -> Image.Image:
        """The picture upright in RGBA, sRGB, of a size that need not keep its proportions."""
        wanted = size_px[::-1] if self._orientation in _SIDEWAYS else size_px
        rough = [min(has, SAMPLES * wants) for has, wants in zip(self._image.size, wanted, strict=True)]
        sample = self._image.resize((rough[0], rough[1]), Image.Resampling.NEAREST)
        planes = [Image.fromarray(plane) for plane in _pixels(sample, self._to_srgb)]
        small = Image.merge("RGBA", planes).resize(wanted, Image.Resampling.LANCZOS)
        small.getexif()[_ORIENTATION] = self._orientation
        return ImageOps.exif_transpose(small)


def read_picture(source: Path | BinaryIO) -> Picture:
    """The first picture of a file. Raises ProblemsFound for what is none, is broken, or is too large."""
    with _opened(source) as image:
        image.load()
        return Picture(image)


def check_picture(source: Path) -> None:
    """By its beginning, quickly. Raises ProblemsFound for what is no picture, or is too large."""
    with _opened(source):
        pass


@contextmanager
def _opened(source: Path | BinaryIO) -> Iterator[Image.Image]:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(source, formats=_FORMATS) as image:
                _check(image)
                yield image
    except Exception as error:  # a decoder fed with anything raises anything
        where = str(source) if isinstance(source, Path) else "standard input"
        raise ProblemsFound([_problem(where, error)]) from error


class _NotTaken(Exception):
    """A sound picture that is not for us; the text says what it is."""


_TOO_LARGE = f"a picture of more than {PIXELS_MAX // 1_000_000} million pixels"


def _check(image: Image.Image) -> None:
    """Before anything is unpacked."""
    if image.width * image.height > PIXELS_MAX:
        raise _NotTaken(_TOO_LARGE)
    if image.mode not in _MODES:
        raise _NotTaken(f"colours written as {image.mode}")


def _problem(where: str, error: Exception) -> Problem:
    match error:
        case FileNotFoundError():
            found = "no such file"
        case IsADirectoryError():
            found = "a folder"
        case PermissionError():
            found = "a file that may not be read"
        case UnidentifiedImageError():
            found = "no picture that can be read"
        case Image.DecompressionBombError() | Image.DecompressionBombWarning() | MemoryError():
            found = _TOO_LARGE
        case _NotTaken():
            found = str(error)
        case _:
            found = f"a broken picture ({error or type(error).__name__})"
    return Problem(
        where=where,
        found=found,
        allowed=f"a PNG, JPEG or TIFF in RGB, CMYK or greys, of at most {PIXELS_MAX // 1_000_000} million pixels",
        do="Check the name, or save the picture again as PNG",
    )


def _pixels(image: Image.Image, to_srgb: ToSrgb | None) -> Pixels:
    plain = _eight_bits(image) if image.mode in _SIXTEEN_BITS else image
    rgba = plain.convert("RGBA")
    colours = to_srgb(plain) if to_srgb else rgba
    red, green, blue, alpha = (*colours.split()[:3], rgba.getchannel("A"))
    return Pixels(*(np.asarray(plane) for plane in (red, green, blue, alpha)))


def _eight_bits(image: Image.Image) -> Image.Image:
    """Greys of 16 bits, their lower half left off; a key that stands for clear becomes alpha."""
    greys = np.asarray(image)
    plain = Image.fromarray((greys >> 8).astype(np.uint8))
    if (key := image.info.get("transparency")) is not None:
        plain.putalpha(Image.fromarray(np.where(greys == key, 0, 255).astype(np.uint8)))
    return plain
