"""The bundled fonts: which of them sets which character, and how wide a text is.

Never raises for a text: what no font has is shown as a replacement mark, what must not be shown as a space.
"""

import re
import unicodedata
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

from arabic_reshaper import reshape
from bidi.algorithm import get_display
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

FOLDER = Path(__file__).parent / "fonts"

Weight = Literal["bold", "regular"]
_CHAINS: dict[Weight, tuple[str, ...]] = {
    "bold": ("RobotoCondensed-Bold", "DejaVuSansCondensed-Bold", "DroidSansFallback"),
    "regular": ("RobotoCondensed-Regular", "DejaVuSansCondensed", "DroidSansFallback"),
}
ASCENT = 0.98
DESCENT = 0.26
"""Of a line, in ems: enough for accents on capitals in every bundled font."""
LEADING = ASCENT + DESCENT

REPLACEMENT = "\ufffd"
_RIGHT_TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff]")

_JOINERS = "\u200c\u200d"
"""They say how Arabic letters join; once joined, they have done their work."""
_JOINERS_AWAY = str.maketrans("", "", _JOINERS)
_VARIATION_SELECTORS = "".join(map(chr, range(0xFE00, 0xFE10)))

Run = tuple[str, str]
"""A font's name and the text that is set in it."""


@lru_cache
def _font(name: str) -> Any:
    """A bundled font, read when a text first needs it: the largest takes a tenth of a second."""
    font = TTFont(name, str(FOLDER / f"{name}.ttf"))
    pdfmetrics.registerFont(font)
    return font


def base_font() -> str:
    """The font that sets most texts, ready to be used."""
    name = _CHAINS["regular"][0]
    _font(name)
    return name


def _has(font: str, char: str) -> bool:
    return ord(char) in _font(font).face.charToGlyph


@lru_cache(maxsize=4096)
def _font_of(char: str, weight: Weight) -> str | None:
    return next((font for font in _CHAINS[weight] if _has(font, char)), None)


@lru_cache(maxsize=8192)
def plain(text: str) -> str:
    """A text as it may be printed: composed, on one line, free of control and invisible characters."""
    return " ".join("".join(map(_harmless, unicodedata.normalize("NFC", text))).split())


def _harmless(char: str) -> str:
    category = unicodedata.category(char)
    if category in {"Cc", "Zl", "Zp"}:
        return " "
    if category == "Cs" or not unicodedata.bidirectional(char):
        return REPLACEMENT
    invisible = category == "Cf" or char in _VARIATION_SELECTORS
    return "" if invisible and char not in _JOINERS else char


@lru_cache(maxsize=8192)
def runs(text: str, weight: Weight) -> tuple[Run, ...]:
    """A line as it is drawn, from left to right: Arabic joined, right-to-left scripts in visual order."""
    found: list[tuple[str, list[str]]] = []
    for char in _visual(text):
        font = _font_of(char, weight)
        font, shown = (font, char) if font else (_CHAINS[weight][0], REPLACEMENT)
        if found and found[-1][0] == font:
            found[-1][1].append(shown)
        else:
            found.append((font, [shown]))
    return tuple((font, "".join(chars)) for font, chars in found)


def _visual(text: str) -> str:
    shown = str(get_display(reshape(text))) if _RIGHT_TO_LEFT.search(text) else text
    return shown.translate(_JOINERS_AWAY)


@lru_cache(maxsize=8192)
def ems(text: str, weight: Weight) -> float:
    """The width of a line of text, in ems: times the font size it is its width in points."""
    return sum(float(pdfmetrics.stringWidth(part, font, 1)) for font, part in runs(text, weight))
