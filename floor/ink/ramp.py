"""Colours for coverage: scales that go from light to dark or from dark to light only.

Never tells amounts apart by hue alone: whoever sees no hues reads the lightness.
"""

import numpy as np
from msgspec import Struct
from PIL import Image, ImageColor

from floor.ink.pixels import Shares


class Ramp(Struct, frozen=True):
    """A scale from no ink to `most` full laydowns, its colours evenly apart, marked in so many parts."""

    most: float
    parts: int
    colours: tuple[str, ...]

    def paint(self, shares: Shares) -> Image.Image:
        """A map: each share in its colour."""
        stops = np.linspace(0, self.most, len(self.colours))
        channels = zip(*(ImageColor.getrgb(colour)[:3] for colour in self.colours), strict=True)
        planes = [np.interp(shares, stops, channel) for channel in channels]
        return Image.fromarray(np.stack(planes, axis=-1).astype(np.uint8))

    def bar(self, width: int, height: int) -> Image.Image:
        """The scale itself, from left to right."""
        return self.paint(np.tile(np.linspace(0, self.most, width, dtype=np.float32), (height, 1)))


WHITE = Ramp(1.0, 2, ("#232b38", "#5d6878", "#a9b1bd", "#ffffff"))
"""As white ink looks on dark cloth."""
COLOUR = Ramp(3.0, 3, ("#ffffff", "#f4cd8c", "#d9774f", "#8f2d56", "#2a0f3a"))
"""As ink darkens white cloth."""
