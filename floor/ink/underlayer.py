"""White ink: the underlayer that lifts colour off a dark garment.

Never for a light garment: that takes none.
"""

import numpy as np
from msgspec import Struct

from floor.ink.light import WEIGHTS, lightness, linear
from floor.ink.pixels import OPAQUE, Pixels, Plane, Shares
from shared.files.colours import Rgb
from shared.files.inks import Underlayer
from shared.files.tables import Shade

_LEVELS = np.arange(OPAQUE + 1)
_STEPS = 65_530
"""Luminance is added up in whole steps of 1 / 65,530, so that three rounded parts of it stay within 16 bits."""
_PARTS = [np.rint(weight * linear(_LEVELS / OPAQUE) * _STEPS).astype(np.uint16) for weight in WEIGHTS]
_LIGHTNESS = lightness(np.minimum(np.arange(2**16) / _STEPS, 1))


class Garment(Struct, frozen=True, kw_only=True):
    """What a picture is printed on: whether it counts as dark, what it is called and what it looks like."""

    shade: Shade
    colour: str
    looks: Rgb


class UnderlayerCurve:
    """The shop's underlayer, made ready for a garment of one colour."""

    def __init__(self, wishes: Underlayer, garment: Rgb) -> None:
        within = wishes.none_within_levels
        self._garment = [np.uint8(level) for level in garment]
        self._by_luminance = np.minimum(_LIGHTNESS / wishes.full_from_l, 1).astype(np.float32)
        self._by_distance = np.clip((_LEVELS - within) / max(within, 1), 0, 1).astype(np.float32)

    def shares(self, pixels: Pixels) -> Shares:
        """The white under each pixel, 0 to 1; alpha left aside.

        In proportion to its lightness, up to all of it; less where the pixel comes near the garment's colour, none
        where it is that colour. How near is told by the one of red, green and blue that is furthest off.
        """
        luminance = _PARTS[0].take(pixels.red)
        luminance += _PARTS[1].take(pixels.green)
        luminance += _PARTS[2].take(pixels.blue)
        red, green, blue = map(_apart, pixels[:3], self._garment)
        distance = np.maximum(np.maximum(red, green), blue)
        return np.multiply(self._by_luminance.take(luminance), self._by_distance.take(distance))


def underlayer_on(garment: Garment, wishes: Underlayer) -> UnderlayerCurve | None:
    """The underlayer on a garment; None on a light one."""
    return UnderlayerCurve(wishes, garment.looks) if garment.shade == "dark" else None


def _apart(plane: Plane, level: np.uint8) -> Plane:
    return np.maximum(plane, level) - np.minimum(plane, level)
