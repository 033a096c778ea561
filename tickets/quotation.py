"""A quotation: what a customer is offered, line by line, on as many pages as it takes.

Never says what anything costs the shop.
"""

from collections.abc import Sequence
from typing import BinaryIO

from msgspec import Struct

from shared.words import ENGLISH, Words
from tickets.kit.blocks import Block, pages, paragraph, space, stack, together
from tickets.kit.box import MM, Box
from tickets.kit.fonts import LEADING
from tickets.kit.pages import new_pen
from tickets.kit.paper import Paper
from tickets.kit.pen import HAIR_MM, LINE_MM, Pen


class Offer(Struct, frozen=True, kw_only=True):
    """One line of a quotation; its money is written out."""

    design: str
    about: Sequence[str]
    """What is printed on, where, in which sizes: a paragraph each."""
    quantity: str
    price_each: str
    price: str


class Quotation(Struct, frozen=True, kw_only=True):
    """What stands on a quotation, written out; its captions come with the language that it is drawn in."""

    shop: str
    customer: str
    facts: Sequence[tuple[str, str]]
    """What it is about as a whole, with a word before each: ("Date", "Wed 25 Nov 2026")."""
    offers: Sequence[Offer]
    total: str
    note: str = ""


TEXT, SMALL = 11.0, 9.0
"""Points."""
GAP = 2 * MM
COLUMNS = (18 * MM, 30 * MM, 32 * MM)
"""Of pieces, price each and price; what is offered takes what they leave."""


def quotation(quote: Quotation, paper: Paper, out: BinaryIO, words: Words = ENGLISH) -> None:
    """A quotation as a PDF. Raises ValueError for one without lines."""
    if not quote.offers:
        raise ValueError("nothing to offer")
    title = words.say("Quotation for {customer}", customer=quote.customer)
    pen = new_pen(out, paper, title=title, author=quote.shop, words=words)
    page = Box(0, 0, *paper.page).inset(paper.margin_mm * MM)
    foot, room = page.cut_bottom(LEADING * SMALL, 2 * GAP)
    found = list(pages([_head(pen, quote, room.width), *_rows(pen, quote, room.width)], room.height))
    for number, blocks in enumerate(found, start=1):
        stack(room, blocks)
        page_of = pen.say("Page {number} of {count}", number=number, count=len(found))
        pen.words(foot, page_of, "regular", size=SMALL, align="right")
        pen.canvas.showPage()
    pen.canvas.save()


def _head(pen: Pen, quote: Quotation, width: float) -> Block:
    return together(
        [
            paragraph(pen, quote.shop, width, 16, "bold"),
            space(5 * GAP),
            paragraph(pen, pen.say("Quotation"), width, 24, "bold"),
            paragraph(pen, pen.say("for {customer}", customer=quote.customer), width, 14),
            space(2 * GAP),
            *(_fact(pen, word, text) for word, text in quote.facts),
            space(3 * GAP),
            _columns(pen),
        ]
    )


def _fact(pen: Pen, word: str, text: str) -> Block:
    def draw(box: Box) -> None:
        left, right = box.cut_left(30 * MM)
        pen.words(left, word, "regular", size=TEXT)
        pen.words(right, text, "bold", size=TEXT)

    return Block(LEADING * TEXT, draw)


def _cells(box: Box) -> list[Box]:
    """A row cut into its columns."""
    cells = []
    for width in reversed(COLUMNS):
        cell, box = box.cut_right(width, GAP)
        cells.append(cell)
    return [box, *reversed(cells)]


def _columns(pen: Pen) -> Block:
    """The heads of the columns."""

    def draw(box: Box) -> None:
        item, *figures = _cells(box)
        pen.words(item, pen.say("Item"), "regular", size=SMALL)
        for cell, word in zip(figures, (pen.say("Pieces"), pen.say("Price each"), pen.say("Price")), strict=True):
            pen.words(cell, word, "regular", size=SMALL, align="right")
        pen.rule(box, LINE_MM)

    return Block(LEADING * SMALL + GAP, draw)


def _rows(pen: Pen, quote: Quotation, width: float) -> list[Block]:
    """Every line, the sum on the same page as the last of them."""
    *rows, last = [_row(pen, offer, width) for offer in quote.offers]
    return [*rows, together([last, _sum(pen, quote.total)]), *_note(pen, quote.note, width)]


def _row(pen: Pen, offer: Offer, width: float) -> Block:
    column = _cells(Box(0, 0, width, 0))[0].width
    words = together(
        [
            paragraph(pen, offer.design, column, TEXT, "bold"),
            *(paragraph(pen, text, column, SMALL) for text in offer.about),
        ]
    )

    def draw(box: Box) -> None:
        item, *figures = _cells(box.inset(0, GAP / 2))
        words.draw(item)
        for cell, text in zip(figures, (offer.quantity, offer.price_each, offer.price), strict=True):
            pen.words(cell.cut_top(LEADING * TEXT)[0], text, "regular", size=TEXT, align="right")
        pen.rule(box, HAIR_MM)

    return Block(words.height + GAP, draw, again=_columns(pen))


def _sum(pen: Pen, total: str) -> Block:
    def draw(box: Box) -> None:
        _, _, word, figure = _cells(box)
        pen.words(word, pen.say("Total"), size=TEXT, align="right")
        pen.words(figure, total, size=TEXT, align="right")

    return Block(LEADING * TEXT + 2 * GAP, draw)


def _note(pen: Pen, note: str, width: float) -> list[Block]:
    paragraphs = [paragraph(pen, text, width, SMALL) for text in note.splitlines() if text.strip()]
    return [space(2 * GAP), *paragraphs] if paragraphs else []
