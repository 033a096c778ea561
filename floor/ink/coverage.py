"""Ink of a whole picture: how much of its rectangle each ink covers, and how much ink that is at a size.

Never holds a picture whole: it comes in patches.
"""

from collections.abc import Iterable
from decimal import Decimal

import numpy as np
from msgspec import Struct

from floor.ink.pixels import OPAQUE, Pixels, Plane, Shares
from floor.ink.separation import colour_shares
from floor.ink.underlayer import UnderlayerCurve
from shared.files.inks import Inks

_PLACES = 6
"""A millionth of a full laydown is less than the last drop."""


class Coverage(Struct, frozen=True, kw_only=True):
    """The mean over a print's rectangle, in full laydowns: white 0 to 1, colour 0 to 3."""

    white: Decimal
    colour: Decimal


class InkUse(Struct, frozen=True, kw_only=True):
    """The ink of one print."""

    white_ml: Decimal
    colour_ml: Decimal


def coverage(patches: Iterable[Pixels], underlayer: UnderlayerCurve | None) -> Coverage:
    """What a picture covers, alpha counted in; without an underlayer, as on a light garment, no white.

    Each pixel has the same share of the rectangle, so neither the order of the patches nor the way the picture is
    turned matters.
    """
    pixels, white, colour = 0, 0.0, 0.0
    for patch in patches:
        pixels += patch.alpha.size
        colour += _printed(colour_shares(patch), patch.alpha)
        if underlayer is not None:
            white += _printed(underlayer.shares(patch), patch.alpha)
    return Coverage(white=_mean(white, pixels), colour=_mean(colour, pixels))


def _printed(shares: Shares, alpha: Plane) -> float:
    shares *= alpha
    return float(shares.sum(dtype=np.float64)) / OPAQUE


def _mean(total: float, pixels: int) -> Decimal:
    return Decimal(round(total / pixels, _PLACES) if pixels else 0).quantize(Decimal(1).scaleb(-_PLACES))


def ink_use(covered: Coverage, inks: Inks, width_mm: Decimal, height_mm: Decimal) -> InkUse:
    """The millilitres of a print: its coverage × the full laydown of its rectangle."""
    return InkUse(
        white_ml=covered.white * inks.white.full_ml(width_mm, height_mm),
        colour_ml=covered.colour * inks.colour.full_ml(width_mm, height_mm),
    )
