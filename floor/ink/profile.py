"""Embedded colour profiles: from whatever a picture's numbers mean to sRGB.

Never refuses a picture for its profile: one that is broken, or of another kind than the picture, is left aside.
"""

from collections.abc import Callable
from io import BytesIO
from itertools import product

import numpy as np
from PIL import Image, ImageCms

ToSrgb = Callable[[Image.Image], Image.Image]
"""From a picture in the mode of the file, of 8 bits, to RGB."""

_SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))
_MODES = {"GRAY": "L", "RGB": "RGB", "CMYK": "CMYK"}
"""The mode of pillow for the numbers that a profile explains."""
_GREYS = ("1", "L", "LA", "La", "I;16", "I;16L", "I;16B", "I;16N")
_UNMOVED = 2
"""Levels of 255; a profile that moves no colour further is sRGB by another name."""
_CHART = Image.fromarray(np.array([list(product(range(0, 256, 51), repeat=3))], dtype=np.uint8))


def to_srgb(image: Image.Image) -> ToSrgb | None:
    """How the numbers of a picture become sRGB; None where they are sRGB, or nothing else is known of them."""
    if not (embedded := image.info.get("icc_profile")):
        return None
    try:
        profile = ImageCms.ImageCmsProfile(BytesIO(embedded))
        mode = _MODES.get(profile.profile.xcolor_space.strip(), "")
        return _conversion(profile, mode) if _fits(mode, image.mode) else None
    except (ImageCms.PyCMSError, OSError, ValueError):
        return None


def _fits(mode: str, picture: str) -> bool:
    if picture == "CMYK" or mode == "CMYK":
        return mode == picture
    return mode == "RGB" or (mode == "L" and picture in _GREYS)


def _conversion(profile: ImageCms.ImageCmsProfile, mode: str) -> ToSrgb | None:
    transform = ImageCms.ImageCmsTransform(
        profile,
        _SRGB,
        mode,
        "RGB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
        flags=ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )
    if mode == "RGB" and _moves_nothing(transform):
        return None
    return lambda image: transform.apply(image.convert(mode))


def _moves_nothing(transform: ImageCms.ImageCmsTransform) -> bool:
    before, after = (np.asarray(chart, dtype=np.int16) for chart in (_CHART, transform.apply(_CHART)))
    return bool(np.abs(after - before).max() <= _UNMOVED)
