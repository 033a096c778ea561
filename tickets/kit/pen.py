"""A pen on a page: words in the reader's language, rules and boxes in black and white, on the dots of the printer.

Never chooses where things go: that is the layout of a traveller or a card.
"""

from contextlib import AbstractContextManager, nullcontext
from math import ceil
from typing import Any, Literal

from shared.words import ENGLISH, Words
from tickets.kit.box import MM, Box
from tickets.kit.fitting import Fitted, fit
from tickets.kit.fonts import ASCENT, DESCENT, LEADING, Weight, ems, plain, runs
from tickets.kit.paper import Paper

Align = Literal["left", "middle", "right"]
Stand = Literal["top", "middle", "bottom", "baseline"]
"""Where in the height of its box a text stands; "baseline": on its bottom, tails of letters hanging below it."""
TagKind = Literal["Document", "H1", "P", "Table", "TR", "TH", "TD"]
"""What a text is, in the words of ISO 32000-1."""
LEAST = 6.0
"""Points. Smaller than that a label printer with 203 dpi smudges."""
HAIR_MM = 0.25
LINE_MM = 0.5


class Pen:
    """Draws on a reportlab canvas for one paper, in one language, in black; or in white, over black."""

    def __init__(self, canvas: Any, paper: Paper, language: Words = ENGLISH, *, white: bool = False) -> None:
        self.canvas = canvas
        self.paper = paper
        self.language = language
        self.dot = paper.dot
        self._gray = 1 if white else 0

    def white(self) -> "Pen":
        """A pen for what stands on black."""
        return Pen(self.canvas, self.paper, self.language, white=True)

    def say(self, text: str, **values: object) -> str:
        """A text of ours in the language of the paper, to be drawn; what is handed over is in it already."""
        return self.language.say(text, **values)

    def element(self, kind: TagKind, of: object = None) -> AbstractContextManager[None]:
        """Where it matters what a text is: the words in here are of that kind. Here it does not."""
        return nullcontext()

    def across(self, x: float) -> float:
        """An x brought to the nearest edge between two dots; dots are counted from the left of the page."""
        return round(x / self.dot) * self.dot

    def down(self, y: float) -> float:
        """A y brought to the nearest edge between two dots; dots are counted from the top of the page."""
        top = self.paper.page[1]
        return top - round((top - y) / self.dot) * self.dot

    def words(
        self,
        box: Box,
        text: str,
        weight: Weight = "bold",
        *,
        size: float,
        least: float = LEAST,
        lines: int = 1,
        align: Align = "left",
        stand: Stand = "middle",
    ) -> Fitted:
        """A text in a box, in at most `size` points: shrunk, wrapped or cut so that it stays inside."""
        fitted = fit(plain(text), weight, box.width, box.height, size, least, lines)
        leading = LEADING * fitted.size
        spare = box.height - leading * len(fitted.lines)
        above = {
            "top": 0.0,
            "middle": spare / 2,
            "bottom": spare,
            "baseline": spare + DESCENT * fitted.size,
        }[stand]
        self.canvas.setFillGray(self._gray)
        for n, line in enumerate(fitted.lines):
            self._line(box, line, weight, fitted.size, box.top - above - leading * n - ASCENT * fitted.size, align)
        return fitted

    def _line(self, box: Box, line: str, weight: Weight, size: float, y: float, align: Align) -> None:
        spare = box.width - ems(line, weight) * size
        x = box.x + {"left": 0.0, "middle": spare / 2, "right": spare}[align]
        for font, part in runs(line, weight):
            self.canvas.setFont(font, size)
            self.canvas.drawString(x, y, part)
            x += self.canvas.stringWidth(part, font, size)

    def width(self, text: str, weight: Weight = "bold", *, size: float) -> float:
        """The width of a text on one line, in points."""
        return ems(plain(text), weight) * size

    def filled(self, box: Box) -> None:
        """A box of ink."""
        self.canvas.setFillGray(self._gray)
        x, top = self.across(box.x), self.down(box.top)
        width, height = self.across(box.right) - x, top - self.down(box.y)
        self.canvas.rect(x, top - height, width, height, stroke=0, fill=1)

    def outlined(self, box: Box, line_mm: float = LINE_MM) -> None:
        """The outline of a box, its line inside the box."""
        line = self.whole(line_mm)
        for strip in (
            box.cut_top(line)[0],
            box.cut_bottom(line)[0],
            box.cut_left(line)[0],
            box.cut_right(line)[0],
        ):
            self.filled(strip)

    def rule(self, box: Box, line_mm: float = HAIR_MM) -> None:
        """A line along the bottom of a box."""
        self.filled(box.cut_bottom(self.whole(line_mm))[0])

    def whole(self, length_mm: float) -> float:
        """A length in points, brought to a whole number of dots, one at least."""
        return max(1, round(length_mm * MM / self.dot)) * self.dot

    def whole_up(self, length: float) -> float:
        """A length in points, brought up to a whole number of dots."""
        return ceil(length / self.dot - 1e-6) * self.dot
