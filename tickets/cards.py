"""Cards for what is scanned again and again: stations, badges, reasons, commands and care tasks.

Never decides which cards a shop has: they are handed over.
"""

from collections.abc import Sequence
from typing import BinaryIO, Literal

from msgspec import Struct

from shared.words import ENGLISH, Words
from tickets.kit.barcode import qr_side, symbols
from tickets.kit.box import MM, Box
from tickets.kit.pages import print_pages
from tickets.kit.paper import Paper
from tickets.kit.pen import Pen

CardKind = Literal["station", "badge", "reason", "command", "care"]


class PrintedCard(Struct, frozen=True, kw_only=True):
    """A card as it is printed: the digits of its code, what it is, its name, what scanning it does."""

    code: str
    kind: CardKind
    title: str
    note: str


BAND_MOST = 14 * MM
BAND = 0.17
"""Of the height of a card, in black, with the kind in white."""


def cards(cards: Sequence[PrintedCard], paper: Paper, out: BinaryIO, words: Words = ENGLISH) -> None:
    """A PDF with all cards, in their order, several a page with cut marks. Raises ValueError for no cards."""
    print_pages(cards, paper, out, _card, title=words.say("Cards"), words=words)


def _card(pen: Pen, card: PrintedCard, box: Box) -> None:
    band, rest = box.cut_top(min(BAND_MOST, box.height * BAND), 1 * MM)
    _band(pen, card.kind, band)
    code, rest = rest.cut_bottom(qr_side(pen))
    title, note = rest.cut_top(rest.height * 0.64)
    pen.words(title, card.title, size=60, least=9, lines=2)
    pen.words(note, card.note, "regular", size=10, lines=2, stand="top")
    symbols(pen, card.code, code)


def _band(pen: Pen, kind: CardKind, band: Box) -> None:
    pen.filled(band)
    sign, word = band.inset(2 * MM, 1.2 * MM).cut_left(band.height, 1 * MM)
    _sign(pen, kind, sign.middle(sign.height, sign.height))
    pen.white().words(word, pen.say(kind), size=30)


SIGNS: dict[CardKind, tuple[tuple[float, float], ...]] = {
    "station": ((0, 0), (1, 0), (1, 1), (0, 1)),
    "badge": ((0.3, 0), (0.7, 0), (1, 0.3), (1, 0.7), (0.7, 1), (0.3, 1), (0, 0.7), (0, 0.3)),
    "reason": ((0, 0), (1, 0), (0.5, 1)),
    "command": ((0.5, 0), (1, 0.5), (0.5, 1), (0, 0.5)),
    "care": (
        *((0.33, 0), (0.67, 0), (0.67, 0.33), (1, 0.33), (1, 0.67), (0.67, 0.67)),
        *((0.67, 1), (0.33, 1), (0.33, 0.67), (0, 0.67), (0, 0.33), (0.33, 0.33)),
    ),
}
"""A shape for each kind, so that a card is known before it is read: square, octagon, triangle, diamond, cross."""


def _sign(pen: Pen, kind: CardKind, box: Box) -> None:
    path = pen.canvas.beginPath()
    for n, (across, up) in enumerate(SIGNS[kind]):
        (path.lineTo if n else path.moveTo)(box.x + across * box.width, box.y + up * box.height)
    path.close()
    pen.canvas.setFillGray(1)
    pen.canvas.drawPath(path, stroke=0, fill=1)
