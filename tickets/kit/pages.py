"""Things onto pages: a PDF with one thing a cell, cut marks between them, the same bytes for the same things.

Never lets a viewer scale a page: a bar that was whole dots would no longer be.
"""

from collections.abc import Callable, Iterator, Sequence
from itertools import product
from typing import BinaryIO, TypeVar

from reportlab import rl_config
from reportlab.pdfgen.canvas import Canvas

from shared.words import ENGLISH, Words
from tickets.kit.box import MM, Box
from tickets.kit.fonts import base_font, plain
from tickets.kit.paper import Paper
from tickets.kit.pen import Pen

rl_config.useA85 = 0
"""Streams as they are: in ASCII-85, reportlab's default, a file is a quarter larger and takes longer."""

Thing = TypeVar("Thing")
MARK_MM = 3.0
MARK_AWAY_MM = 0.7
"""Between a card and its cut marks, so that none of a mark is left on a card that is cut a little too large."""


def print_pages(
    things: Sequence[Thing],
    paper: Paper,
    out: BinaryIO,
    draw: Callable[[Pen, Thing, Box], None],
    *,
    title: str,
    author: str = "",
    words: Words = ENGLISH,
) -> None:
    """A PDF with every thing in a cell of its own, in their order, row by row. Raises ValueError for no things."""
    if not things:
        raise ValueError("nothing to print")
    pen = new_pen(out, paper, title=title, author=author, words=words)
    pen.canvas.setViewerPreference("PrintScaling", "None")
    for page in _pages(things, paper.per_page):
        for thing, cell in zip(page, paper.cells(), strict=False):
            draw(pen, thing, cell.inset(paper.margin_mm * MM))
        _cut_marks(pen, len(page))
        pen.canvas.showPage()
    pen.canvas.save()


def new_pen(out: BinaryIO, paper: Paper, *, title: str, author: str, words: Words = ENGLISH) -> Pen:
    """A pen on the first page of a new PDF, which says in a language what it is, and whose."""
    lang, font = words.language, base_font()
    canvas = Canvas(out, pagesize=paper.page, invariant=1, pageCompression=1, lang=lang, initialFontName=font)
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.setTitle(plain(title))
    canvas.setAuthor(plain(author))
    canvas.setCreator("piecewalk")
    return Pen(canvas, paper, words)


def _pages(things: Sequence[Thing], per_page: int) -> Iterator[Sequence[Thing]]:
    for first in range(0, len(things), per_page):
        yield things[first : first + per_page]


def _cut_marks(pen: Pen, used: int) -> None:
    """Dashed lines between cells that touch; ticks outside the corners of cells with gaps between them."""
    pen.canvas.setLineWidth(pen.whole(0.1))
    if pen.paper.gap_mm:
        for cell in pen.paper.cells()[:used]:
            _ticks(pen, cell)
        return
    width, height = pen.paper.page
    pen.canvas.setDash(3, 3)
    for n in range(1, pen.paper.columns):
        pen.canvas.line(n * width / pen.paper.columns, 0, n * width / pen.paper.columns, height)
    for n in range(1, pen.paper.rows):
        pen.canvas.line(0, n * height / pen.paper.rows, width, n * height / pen.paper.rows)


def _ticks(pen: Pen, cell: Box) -> None:
    near, far = MARK_AWAY_MM * MM, (MARK_AWAY_MM + MARK_MM) * MM
    for (x, left), (y, up) in product(((cell.x, -1), (cell.right, 1)), ((cell.y, -1), (cell.top, 1))):
        pen.canvas.line(x + left * near, y, x + left * far, y)
        pen.canvas.line(x, y + up * near, x, y + up * far)
