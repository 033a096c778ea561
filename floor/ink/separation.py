"""Colour ink: what cyan, magenta, yellow and black each pixel takes.

Never looks at the garment: the colour pass prints the picture as it is.
"""

import numpy as np

from floor.ink.pixels import OPAQUE, Pixels, Shares

HUE_FROM = np.uint8(16)
"""Below this level of its brightest channel a pixel is black; its hue is noise, and fades out."""


def colour_shares(pixels: Pixels) -> Shares:
    """The ink of all four colours together on each pixel, in full laydowns of one, 0 to 3; alpha left aside.

    Separation with full grey-component replacement (textbook formula, from memory): K = 1 - max(R, G, B),
    C = (1 - R - K) / (1 - K), M and Y alike. The four add up to K + 3 - (R + G + B) / max(R, G, B). White takes
    nothing, black 1, grey what it lacks of white, pure red 2. Just above black the division would turn (1, 0, 0)
    of 255 into nearly 3, so its divisor is never below HUE_FROM.

    An estimate: the printer's own software decides.
    """
    brightest = np.maximum(np.maximum(pixels.red, pixels.green), pixels.blue)
    whole = np.add(pixels.red, pixels.green, dtype=np.uint16) + pixels.blue
    shares = brightest * np.float32(3) - whole
    shares /= np.maximum(brightest, HUE_FROM).astype(np.float32)
    shares += np.float32(1) - brightest * np.float32(1 / OPAQUE)
    return shares
