"""Pixels as they are reckoned with: four planes of bytes.

Never a file: floor.ink.picture reads those.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Plane = NDArray[np.uint8]
Shares = NDArray[np.float32]
"""For each pixel, ink in shares of its full laydown."""

OPAQUE = 255


class Pixels(NamedTuple):
    """A patch of a picture, sRGB with straight alpha (0: nothing is printed, 255: all of it); planes of one shape."""

    red: Plane
    green: Plane
    blue: Plane
    alpha: Plane
