"""A sheet that shows where a print's ink goes: the artwork, the underlayer and the colour ink side by side.

Never reckons an amount: those were taken from every pixel; its maps show where, not how much.
"""

from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from msgspec import Struct
from PIL import Image, ImageDraw, ImageFont

from floor.ink.picture import Picture
from floor.ink.pixels import OPAQUE, Pixels
from floor.ink.ramp import COLOUR, WHITE, Ramp
from floor.ink.separation import colour_shares
from floor.ink.underlayer import Garment, UnderlayerCurve, underlayer_on
from shared.files.inks import Inks
from shared.harmless import harmless
from shared.wording import figure, percent, quantity
from tickets.kit.fonts import FOLDER as FONTS

PAPER, TEXT, QUIET, LINE, EMPTY = "#f7f5f0", "#1c222e", "#5c6370", "#cbc6ba", "#ebe8e0"
PICTURE_MAX = (520, 600)
"""Pixels across and down that each of the three pictures may fill."""
COLUMN_MIN = 360
MARGIN, GAP, HEAD, TITLE, FOOT = 48, 44, 122, 44, 204
BAR = 14
NAME_MAX, COLOUR_MAX = 56, 22
NOTE = "An estimate from the artwork: the printer's own software decides."


class Style(NamedTuple):
    """A font of tickets, its size in pixels, its colour."""

    font: str
    size: int
    colour: str


NAME = Style("DejaVuSansCondensed-Bold", 30, TEXT)
"""Of the bundled fonts, the one that has the letters of most scripts."""
HEADING = Style("RobotoCondensed-Bold", 26, TEXT)
AMOUNT = Style("RobotoCondensed-Bold", 40, TEXT)
FACTS = Style("RobotoCondensed-Regular", 20, QUIET)
SMALL = Style("RobotoCondensed-Regular", 18, QUIET)

Answer = Mapping[str, Any]
"""An estimate as `--json` answers it."""


class Panel(Struct, frozen=True, kw_only=True):
    """One of the three: a picture with a title, a scale if it is a map, and what it comes to."""

    title: str
    image: Image.Image
    ramp: Ramp | None = None
    amount: str
    words: str


def sheet(name: str, picture: Picture, answer: Answer, garment: Garment, inks: Inks) -> Image.Image:
    """The sheet of an estimate, from the answer that it came to."""
    underlayer = underlayer_on(garment, inks.underlayer)
    size = _fitted(float(answer["width_mm"]), float(answer["height_mm"]))
    column = max(size[0], COLUMN_MIN)
    page = Image.new("RGB", (2 * MARGIN + 3 * column + 2 * GAP, HEAD + TITLE + size[1] + FOOT), PAPER)
    _head(ImageDraw.Draw(page), name, answer)
    for n, panel in enumerate(_panels(picture.small(size), answer, underlayer)):
        _draw(page, (MARGIN + n * (column + GAP), HEAD), panel)
    _say(ImageDraw.Draw(page), (MARGIN, page.height - 28), NOTE, SMALL)
    return page


def _fitted(width: float, height: float) -> tuple[int, int]:
    scale = min(PICTURE_MAX[0] / width, PICTURE_MAX[1] / height)
    return max(round(width * scale), 1), max(round(height * scale), 1)


def _panels(small: Image.Image, answer: Answer, underlayer: UnderlayerCurve | None) -> tuple[Panel, Panel, Panel]:
    pixels = Pixels(*(np.asarray(plane) for plane in small.split()))
    alpha = pixels.alpha * np.float32(1 / OPAQUE)
    colour = COLOUR.paint(colour_shares(pixels) * alpha)
    if underlayer:
        white = _map("White underlayer", WHITE.paint(underlayer.shares(pixels) * alpha), WHITE, "white", answer)
    else:
        blank = Image.new("RGB", small.size, EMPTY)
        white = Panel(title="White underlayer", image=blank, amount="0.00 ml", words="A light garment takes none")
    return _artwork(small, answer), white, _map("Colour ink", colour, COLOUR, "colour", answer)


def _artwork(small: Image.Image, answer: Answer) -> Panel:
    ground = Image.new("RGBA", small.size, answer["garment"])
    return Panel(
        title=f"Artwork on {harmless(answer['colour'], COLOUR_MAX)}",
        image=Image.alpha_composite(ground, small).convert("RGB"),
        amount=_money(answer["cost"]["total"], answer),
        words="White and colour ink together",
    )


def _map(title: str, image: Image.Image, ramp: Ramp, ink: str, answer: Answer) -> Panel:
    cost, covered = answer["cost"][f"{ink}_ink"], float(answer["coverage"][ink])
    return Panel(
        title=title,
        image=image,
        ramp=ramp,
        amount=f"{quantity(float(answer[f'{ink}_ml']), 2)} ml",
        words=f"{_money(cost, answer)}   ·   {percent(covered)} of one full laydown",
    )


def _money(amount: str, answer: Answer) -> str:
    return f"{figure(amount, answer['currency'])} {answer['currency']}"


def _head(pen: ImageDraw.ImageDraw, name: str, answer: Answer) -> None:
    width, height = (quantity(float(answer[key]), 0).rstrip(".") for key in ("width_mm", "height_mm"))
    pixels = " × ".join(f"{side:,}" for side in answer["pixels"])
    size = f"{width} × {height} mm   ·   {pixels} px   ·   {answer['dpi']} dpi   ·   {answer['shade']} garment"
    _say(pen, (MARGIN, 58), harmless(name, NAME_MAX), NAME)
    _say(pen, (MARGIN, 90), size, FACTS)


def _draw(page: Image.Image, at: tuple[int, int], panel: Panel) -> None:
    pen = ImageDraw.Draw(page)
    left, top = at[0], at[1] + TITLE
    width, height = panel.image.size
    bottom = top + height
    _say(pen, (left, top - 14), panel.title, HEADING)
    page.paste(panel.image, (left, top))
    pen.rectangle((left - 1, top - 1, left + width, bottom), outline=LINE)
    if panel.ramp:
        _scale(page, (left, bottom + 18), max(width, COLUMN_MIN), panel.ramp)
    _say(pen, (left, bottom + 108), panel.amount, AMOUNT)
    _say(pen, (left, bottom + 138), panel.words, FACTS)


def _scale(page: Image.Image, at: tuple[int, int], width: int, ramp: Ramp) -> None:
    pen, (left, top) = ImageDraw.Draw(page), at
    page.paste(ramp.bar(width, BAR), at)
    pen.rectangle((left - 1, top - 1, left + width, top + BAR), outline=LINE)
    for n in range(ramp.parts + 1):
        anchor = {0: "ls", ramp.parts: "rs"}.get(n, "ms")
        words = f"{100 * n * ramp.most / ramp.parts:.0f} %"
        _say(pen, (left + n * width // ramp.parts, top + BAR + 22), words, SMALL, anchor)


def _say(pen: ImageDraw.ImageDraw, at: tuple[int, int], words: str, style: Style, anchor: str = "ls") -> None:
    pen.text(at, words, style.colour, _font(style.font, style.size), anchor)


@cache
def _font(name: str, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(FONTS / f"{name}.ttf", size)
