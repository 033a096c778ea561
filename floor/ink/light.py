"""How light a colour is: from sRGB over linear light to CIE lightness.

Never guesses a profile: what comes in is sRGB.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

WEIGHTS = (0.2126, 0.7152, 0.0722)
"""What linear red, green and blue add to the luminance (IEC 61966-2-1)."""
_EPSILON = 216 / 24389
_KAPPA = 24389 / 27


def linear(encoded: ArrayLike) -> Floats:
    """Linear light of an sRGB value, both 0 to 1 (IEC 61966-2-1)."""
    value = np.asarray(encoded, dtype=np.float64)
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def lightness(luminance: ArrayLike) -> Floats:
    """CIE L*, 0 to 100, of a luminance of 0 to 1 (CIE 15)."""
    value = np.asarray(luminance, dtype=np.float64)
    return np.where(value > _EPSILON, 116 * np.cbrt(value) - 16, _KAPPA * value)
