"""The pictures that the demo's customers bring: drawn here, from circles and polygons.

Never loads a picture: there is none to load.
"""

from collections.abc import Callable
from math import cos, pi, sin
from pathlib import Path

from PIL import Image, ImageDraw

SIDE = 640
"""Pixels of a picture's longer side."""
FINER = 3
"""Drawn so much larger and then shrunk, for smooth edges."""

Point = tuple[float, float]
CLEAR = (0, 0, 0, 0)
LIP: list[Point] = [(-1, -0.18), (1, -0.18), (1, 0.18), (-1, 0.18)]


class ArtSheet:
    """A clear sheet to draw on, in units of its width: (0, 0) is the top left, (1, height) the bottom right."""

    def __init__(self, height: float = 1.0) -> None:
        longest = SIDE * FINER / max(height, 1.0)
        self._unit = longest
        self._image = Image.new("RGBA", (round(longest), round(longest * height)), CLEAR)
        self._pen = ImageDraw.Draw(self._image)

    def disc(self, at: Point, radius: float, fill: str | tuple[int, ...]) -> None:
        """A filled circle."""
        self.oval(at, radius, radius, fill)

    def oval(self, at: Point, across: float, down: float, fill: str | tuple[int, ...]) -> None:
        """A filled ellipse by its half axes."""
        (x, y), unit = at, self._unit
        self._pen.ellipse(((x - across) * unit, (y - down) * unit, (x + across) * unit, (y + down) * unit), fill=fill)

    def shape(self, points: list[Point], fill: str | tuple[int, ...]) -> None:
        """A filled polygon."""
        self._pen.polygon([(x * self._unit, y * self._unit) for x, y in points], fill=fill)

    def line(self, points: list[Point], width: float, fill: str | tuple[int, ...]) -> None:
        """A line through points."""
        scaled = [(x * self._unit, y * self._unit) for x, y in points]
        self._pen.line(scaled, fill=fill, width=round(width * self._unit), joint="curve")

    def finished(self) -> Image.Image:
        """The picture, with smooth edges."""
        return self._image.reduce(FINER)


def turned(point: Point, angle: float) -> Point:
    """A point turned around (0, 0), in radians."""
    x, y = point
    return x * cos(angle) - y * sin(angle), x * sin(angle) + y * cos(angle)


def placed(points: list[Point], at: Point, angle: float = 0.0, scale: float = 1.0) -> list[Point]:
    """A shape scaled, turned and moved."""
    spun = (turned((x * scale, y * scale), angle) for x, y in points)
    return [(at[0] + x, at[1] + y) for x, y in spun]


def leaf(length: float, width: float, steps: int = 16) -> list[Point]:
    """A leaf that points to the right from (0, 0)."""
    along = [n / steps for n in range(steps + 1)]
    upper = [(length * t, -width * sin(pi * t) * (1 - t / 2)) for t in along]
    return [*upper, *((x, -y) for x, y in reversed(upper))]


def moonrise() -> Image.Image:
    """A moon over water, in bands, with its broken reflection."""
    sheet = ArtSheet()
    sheet.disc((0.5, 0.42), 0.36, "#f3c969")
    sheet.disc((0.5, 0.42), 0.29, "#f7dd9b")
    for n, (x, y, radius) in enumerate(((0.42, 0.33, 0.05), (0.60, 0.45, 0.07), (0.47, 0.52, 0.03))):
        sheet.disc((x, y), radius, "#f3c969" if n % 2 else "#efd08a")
    sheet.shape([(0, 0.62), (1, 0.62), (1, 1), (0, 1)], CLEAR)
    colours = ("#7ec8c9", "#f7dd9b", "#5aa6b8", "#f3c969", "#3f7f9c")
    for n, colour in enumerate(colours):
        y, reach = 0.65 + n * 0.065, 0.44 - n * 0.07
        waves = [(0.5 - reach + 2 * reach * t / 40, y + 0.012 * sin(t * 0.9 + n)) for t in range(41)]
        sheet.line(waves, 0.026, colour)
    for x, y in ((0.16, 0.20), (0.25, 0.13), (0.84, 0.24)):
        sheet.line([(x - 0.05, y - 0.02), (x, y + 0.012), (x + 0.05, y - 0.02)], 0.012, "#f4f1e8")
    return sheet.finished()


def fern() -> Image.Image:
    """A bent frond."""
    sheet = ArtSheet(height=1.4)
    stem = [(0.46 + 0.10 * sin(t * 1.4), 1.34 - 1.24 * t) for t in (n / 40 for n in range(41))]
    sheet.line(stem, 0.018, "#cfe8c0")
    for n, at in enumerate(stem[4::2]):
        size = 0.42 * (1 - n / 20) * (0.55 + 0.45 * sin(pi * min(1, (n + 4) / 15)))
        for side, green in ((-1, "#8fcf8a"), (1, "#b9e3a4")):
            sheet.shape(placed(leaf(1, 0.09), at, -pi / 2 + side * (1.1 - n * 0.03), size), green)
    return sheet.finished()


def lanterns() -> Image.Image:
    """Three paper lanterns on a string."""
    sheet = ArtSheet()
    string = [(t / 40, 0.10 + 0.10 * sin(pi * t / 40)) for t in range(41)]
    sheet.line(string, 0.010, "#51433b")
    hung = ((0.20, 0.17, 0.13, "#e4572e"), (0.52, 0.205, 0.18, "#f3a712"), (0.83, 0.15, 0.12, "#2a9d8f"))
    for x, top, size, colour in hung:
        y = top + size * 1.9
        sheet.line([(x, top), (x, y)], 0.008, "#51433b")
        sheet.oval((x, y), size, size * 1.25, colour)
        for share in (0.66, 0.28):
            sheet.oval((x, y), size * share, size * 1.25, (255, 255, 255, 255) if share < 0.5 else "#fbe3b5")
            sheet.oval((x, y), size * (share - 0.07), size * 1.2, colour)
        for edge in (-1, 1):
            lip = y + edge * size * 1.22
            sheet.shape(placed(LIP, (x, lip), scale=size * 0.45), "#51433b")
        sheet.line([(x, y + size * 1.3), (x, y + size * 1.9)], 0.014, colour)
    return sheet.finished()


def star() -> Image.Image:
    """A tile with a star of leaves, to be laid beside its like."""
    sheet = ArtSheet()
    sheet.shape([(0, 0), (1, 0), (1, 1), (0, 1)], "#f7f3e8")
    for corner in ((0, 0), (1, 0), (1, 1), (0, 1)):
        sheet.disc(corner, 0.27, "#264e70")
        sheet.disc(corner, 0.21, "#f7f3e8")
        sheet.disc(corner, 0.13, "#d1603d")
    for length, first, colour in ((0.36, pi / 8, "#7fb069"), (0.46, 0.0, "#264e70")):
        for n in range(8):
            sheet.shape(placed(leaf(length, 0.085), (0.5, 0.5), first + n * pi / 4), colour)
    sheet.disc((0.5, 0.5), 0.10, "#f7f3e8")
    sheet.disc((0.5, 0.5), 0.07, "#d1603d")
    return sheet.finished()


PICTURES: dict[str, Callable[[], Image.Image]] = {
    "moonrise.png": moonrise,
    "fern.png": fern,
    "lanterns.png": lanterns,
    "star.png": star,
}
"""By the names under which the job files ask for them."""


def draw_pictures(folder: Path) -> None:
    """Every picture, as PNG files in a folder."""
    for name, draw in PICTURES.items():
        draw().save(folder / name, optimize=False)
