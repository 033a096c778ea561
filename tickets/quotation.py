"""A quotation: what a customer is offered, line by line, on as many pages as it takes.

Never says what anything costs the shop.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import BinaryIO

from msgspec import Struct

from tickets.box import MM, Box
from tickets.fitting import ELLIPSIS, wrapped
from tickets.fonts import LEADING, Weight, plain
from tickets.pages import new_pen
from tickets.pen import HAIR_MM, LINE_MM, Align, Pen
from tickets.stock import Stock


class Offer(Struct, frozen=True, kw_only=True):
    """One line of a quotation; its money is written out."""

    design: str
    about: Sequence[str]
    """What is printed on, where, in which sizes: a paragraph each."""
    quantity: str
    price_each: str
    price: str


class Quotation(Struct, frozen=True, kw_only=True):
    """All that stands on a quotation, written out."""

    shop: str
    customer: str
    facts: Sequence[tuple[str, str]]
    """What it is about as a whole, with a word before each: ("Date", "Wed 25 Nov 2026")."""
    offers: Sequence[Offer]
    total: str
    note: str = ""


TEXT, SMALL = 11.0, 9.0
"""Points."""
LINES_MOST = 15
"""Of a paragraph; one that is longer is cut, so that every line of a quotation fits on a page."""
GAP = 2 * MM
COLUMNS: tuple[tuple[str, float, Align], ...] = (
    ("Item", 0, "left"),
    ("Pieces", 18 * MM, "right"),
    ("Price each", 30 * MM, "right"),
    ("Price", 32 * MM, "right"),
)
"""The first one takes what the others leave."""


def quotation(quote: Quotation, paper: Stock, out: BinaryIO) -> None:
    """A quotation as a PDF. Raises ValueError for one without lines."""
    if not quote.offers:
        raise ValueError("nothing to offer")
    pen = new_pen(out, paper, title=f"Quotation for {quote.customer}", author=quote.shop)
    page = Box(0, 0, *paper.page).inset(paper.margin_mm * MM)
    foot, room = page.cut_bottom(LEADING * SMALL, 2 * GAP)
    blocks = [_head(pen, quote, room.width), *_rows(pen, quote, room.width)]
    pages = list(_pages(blocks, room.height, _columns(pen, room.width)))
    for number, blocks in enumerate(pages, start=1):
        _stack(room, blocks)
        pen.words(foot, f"Page {number} of {len(pages)}", "regular", size=SMALL, align="right")
        pen.canvas.showPage()
    pen.canvas.save()


class _Block(Struct, frozen=True):
    """Something as wide as the page, its height, and how it is drawn in a box of that height."""

    height: float
    draw: Callable[[Box], None]


def _stack(room: Box, blocks: Sequence[_Block]) -> None:
    for block in blocks:
        box, room = room.cut_top(block.height)
        block.draw(box)


def _pages(blocks: Sequence[_Block], height: float, again: _Block) -> Iterator[list[_Block]]:
    """Blocks, in their order, on pages of a height; every page after the first begins with one of them again."""
    page, free = [blocks[0]], height - blocks[0].height
    for block in blocks[1:]:
        if block.height > free:
            yield page
            page, free = [again], height - again.height
        page.append(block)
        free -= block.height
    yield page


def _together(blocks: Sequence[_Block]) -> _Block:
    """Blocks that stay on one page."""
    return _Block(sum(block.height for block in blocks), lambda box: _stack(box, blocks))


def _space(height: float) -> _Block:
    return _Block(height, lambda _: None)


def _paragraph(
    pen: Pen, text: str, width: float, size: float, weight: Weight = "regular", align: Align = "left"
) -> _Block:
    lines = list(wrapped(plain(text), weight, width / size))
    if len(lines) > LINES_MOST:
        lines[LINES_MOST - 1 :] = [ELLIPSIS]

    def draw(box: Box) -> None:
        for line, row in zip(lines, box.cut_left(width)[0].rows(len(lines)), strict=True):
            pen.words(row, line, weight, size=size, align=align)

    return _Block(len(lines) * LEADING * size, draw)


def _head(pen: Pen, quote: Quotation, width: float) -> _Block:
    return _together(
        [
            _paragraph(pen, quote.shop, width, 16, "bold"),
            _space(5 * GAP),
            _paragraph(pen, "Quotation", width, 24, "bold"),
            _paragraph(pen, f"for {quote.customer}", width, 14),
            _space(2 * GAP),
            *(_fact(pen, word, text, width) for word, text in quote.facts),
            _space(3 * GAP),
            _columns(pen, width),
        ]
    )


def _fact(pen: Pen, word: str, text: str, width: float) -> _Block:
    def draw(box: Box) -> None:
        left, right = box.cut_left(30 * MM)
        pen.words(left, word, "regular", size=TEXT)
        pen.words(right, text, "bold", size=TEXT)

    return _Block(LEADING * TEXT, draw)


def _cells(box: Box) -> list[Box]:
    """A row cut into its columns."""
    cells = []
    for _, width, _ in reversed(COLUMNS[1:]):
        cell, box = box.cut_right(width, GAP)
        cells.append(cell)
    return [box, *reversed(cells)]


def _columns(pen: Pen, width: float) -> _Block:
    """The heads of the columns."""

    def draw(box: Box) -> None:
        for (word, _, align), cell in zip(COLUMNS, _cells(box), strict=True):
            pen.words(cell, word, "regular", size=SMALL, align=align)
        pen.rule(box, LINE_MM)

    return _Block(LEADING * SMALL + GAP, draw)


def _rows(pen: Pen, quote: Quotation, width: float) -> list[_Block]:
    """Every line, the sum on the same page as the last of them."""
    *rows, last = [_row(pen, offer, width) for offer in quote.offers]
    return [*rows, _together([last, _sum(pen, quote.total)]), *_note(pen, quote.note, width)]


def _row(pen: Pen, offer: Offer, width: float) -> _Block:
    column = _cells(Box(0, 0, width, 0))[0].width
    words = _together(
        [
            _paragraph(pen, offer.design, column, TEXT, "bold"),
            *(_paragraph(pen, text, column, SMALL) for text in offer.about),
        ]
    )

    def draw(box: Box) -> None:
        item, *figures = _cells(box.inset(0, GAP / 2))
        words.draw(item)
        for cell, text in zip(figures, (offer.quantity, offer.price_each, offer.price), strict=True):
            pen.words(cell.cut_top(LEADING * TEXT)[0], text, "regular", size=TEXT, align="right")
        pen.rule(box, HAIR_MM)

    return _Block(words.height + GAP, draw)


def _sum(pen: Pen, total: str) -> _Block:
    def draw(box: Box) -> None:
        _, _, word, figure = _cells(box)
        pen.words(word, "Total", size=TEXT, align="right")
        pen.words(figure, total, size=TEXT, align="right")

    return _Block(LEADING * TEXT + 2 * GAP, draw)


def _note(pen: Pen, note: str, width: float) -> list[_Block]:
    paragraphs = [_paragraph(pen, text, width, SMALL) for text in note.splitlines() if text.strip()]
    return [_space(2 * GAP), *paragraphs] if paragraphs else []
