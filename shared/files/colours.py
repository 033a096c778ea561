"""Colours as red, green and blue (sRGB, 0 to 255): written as #rrggbb, and those of garments by their plain names.

Never claims to match a dye lot: a name stands for what most would call so; an item of the shop file may say better.
"""

import re
from itertools import pairwise

from shared.files.tables import Shade

Rgb = tuple[int, int, int]

_PLAIN = {
    "white": "#ffffff",
    "natural": "#f3ecdc",
    "black": "#141416",
    "charcoal": "#3a3b40",
    "grey": "#86888c",
    "dark grey": "#4a4c51",
    "navy": "#1f2a44",
    "blue": "#1f4aa5",
    "royal": "#1f4aa5",
    "teal": "#1a6a70",
    "green": "#1f7a3f",
    "forest": "#1f4030",
    "olive": "#5a5b3a",
    "red": "#b3202c",
    "burgundy": "#5a1a2b",
    "maroon": "#5a1a2b",
    "purple": "#4a2a6b",
    "brown": "#4a3326",
    "orange": "#e0602a",
}
"""From memory, no source: cotton as it looks in daylight."""
_UNKNOWN: dict[Shade, str] = {"dark": "black", "light": "white"}


def rgb(text: str) -> Rgb:
    """A colour from #rrggbb. Raises ValueError."""
    if not re.fullmatch("#[0-9a-fA-F]{6}", text):
        raise ValueError(f"{text!r} is not a colour such as #1b2340")
    red, green, blue = bytes.fromhex(text[1:])
    return red, green, blue


def written(colour: Rgb) -> str:
    """A colour as #rrggbb."""
    return f"#{bytes(colour).hex()}"


def named(name: str, shade: Shade) -> Rgb:
    """A garment's colour by its name, else by the first word or two of it that are known.

    The first word narrows the others down: forest green, navy blue, charcoal grey. What says nothing is black, or white
    if light.
    """
    words = name.casefold().replace("gray", "grey").split()
    pairs = map(" ".join, pairwise(words))
    known = (_PLAIN[word] for word in (" ".join(words), *pairs, *words, _UNKNOWN[shade]) if word in _PLAIN)
    return rgb(next(known))
