"""Travellers: the ticket that walks with each piece, with its code, its route and what it must become.

Never decides a route or reads a shop: whatever stands on a ticket is handed over.
"""

from collections.abc import Callable, Sequence
from itertools import count
from pathlib import Path
from typing import BinaryIO

from msgspec import Struct

from shared.codes import grouped
from shared.route import Step
from shared.words import ENGLISH, Words
from tickets.kit.art import ArtCorner
from tickets.kit.barcode import qr_side, symbols
from tickets.kit.box import MM, Box
from tickets.kit.pages import print_pages
from tickets.kit.paper import Paper
from tickets.kit.pen import Pen
from tickets.route_list import ROW_GOOD, ROW_MOST, draw_route, row_count


class Placed(Struct, frozen=True, kw_only=True):
    """One print of a piece: where it goes, how large, and its picture."""

    place: str
    size: str = ""
    """As it is read: "305 × 330 mm"."""
    artwork: Path | None = None

    @property
    def said(self) -> str:
        """Where and how large: "front 305 × 330 mm"."""
        return f"{self.place} {self.size}".strip()


class Ticket(Struct, frozen=True, kw_only=True):
    """All that stands on the traveller of one piece, as text that is ready to be read."""

    code: str
    job: str
    customer: str
    due: str
    """In the shop's zone and the reader's words."""
    item: str
    colour: str
    shade: str = ""
    """"dark" or "light": a dark garment's ticket is black where it names the garment."""
    size: str
    number: int
    """This piece is the `number`th of the line's `of`."""
    of: int
    design: str
    prints: tuple[Placed, ...] = ()
    """In the order of the route."""
    steps: tuple[Step, ...]
    remake_of: str | None = None
    """The code of the piece that this one replaces."""
    shop: str = ""

    @property
    def pictured(self) -> list[Placed]:
        """The prints that have a picture."""
        return [each for each in self.prints if each.artwork]


GAP = 2.0 * MM
HEAD = 12.5 * MM
BAND = 6.0 * MM
STRIPES = 59
FOOT = 8.0 * MM
PLACE = 6.0 * MM
PICTURE_MOST = 0.45
"""Of the width beside the design's name, for one picture."""
PICTURES_MOST = 0.6
"""The same, for several."""


OnTicket = Callable[[int], None]
"""Told how many tickets are drawn."""


def travellers(
    tickets: Sequence[Ticket],
    paper: Paper,
    out: BinaryIO,
    words: Words = ENGLISH,
    on_ticket: OnTicket = lambda _drawn: None,
) -> None:
    """A PDF with the traveller of every piece, in their order. Raises ValueError for no tickets."""
    drawn = count(1)
    art = ArtCorner()
    jobs = ", ".join(dict.fromkeys(ticket.job for ticket in tickets))

    def draw(pen: Pen, ticket: Ticket, box: Box) -> None:
        draw_ticket(pen, ticket, box, art)
        on_ticket(next(drawn))

    author = tickets[0].shop if tickets else ""
    title = words.say("Travellers {jobs}", jobs=jobs)
    print_pages(tickets, paper, out, draw, title=title, author=author, words=words)


def draw_ticket(pen: Pen, ticket: Ticket, box: Box, art: ArtCorner) -> None:
    """One traveller, from the top: job and due, garment, design, route, code, cautions."""
    foot, rest = box.cut_bottom(FOOT, 0.3 * MM)
    code, rest = rest.cut_bottom(qr_side(pen), 0.3 * MM)
    head, rest = rest.cut_top(HEAD, GAP)
    _head(pen, ticket, head)
    if ticket.remake_of:
        band, rest = rest.cut_top(BAND, GAP)
        _remake(pen, ticket.remake_of, band)
    heights = _heights(ticket, rest.height - 2 * GAP)
    garment, rest = rest.cut_top(heights["garment"], GAP)
    _garment(pen, ticket, garment)
    design, route = rest.cut_top(heights["design"], GAP)
    _design(pen, ticket, design, art)
    draw_route(pen, ticket.steps, route)
    _code(pen, ticket, code)
    _foot(pen, foot)


def _heights(ticket: Ticket, height: float) -> dict[str, float]:
    """How garment, design and route share a height: poured into one after the other, up to a mark each time."""
    rows = row_count(len(ticket.steps))
    heights = {"garment": 22.0 * MM, "design": 12.0 * MM, "route": 0.0}
    marks = (
        ("route", rows * ROW_GOOD),
        ("garment", 28.0 * MM),
        ("design", 18.0 * MM),
        ("route", rows * ROW_MOST),
        ("design", 40.0 * MM if ticket.pictured else 0),
        ("garment", height),
    )
    for part, mark in marks:
        heights[part] += max(0.0, min(mark - heights[part], height - sum(heights.values())))
    return heights


def _head(pen: Pen, ticket: Ticket, box: Box) -> None:
    small, large = box.cut_top(3.5 * MM)
    shop, due = small.cut_left(box.width * 0.6)
    pen.words(shop, ticket.shop, "regular", size=8)
    pen.words(due, pen.say("due"), "regular", size=8, align="right")
    job, when = large.cut_bottom(1.5 * MM)[1].cut_left(box.width * 0.36, GAP)
    pen.words(job, ticket.job, size=23, stand="baseline")
    pen.words(when, ticket.due, size=17, lines=2, align="right", stand="baseline")


def _remake(pen: Pen, replaced: str, box: Box) -> None:
    """Stripes right across the ticket: seen in a pile, and on a printer that knows no colour."""
    for stripe in box.columns(STRIPES)[::2]:
        pen.filled(stripe)
    plate = box.middle(box.width * 0.7, box.height)
    pen.white().filled(plate)
    pen.words(plate, pen.say("REMAKE of {piece}", piece=grouped(replaced)), size=17, align="middle")


def _garment(pen: Pen, ticket: Ticket, box: Box) -> None:
    """Size, colour and item: what hands look for on the shelf. Black for a dark garment, white for a light one."""
    if ticket.shade == "dark":
        pen.filled(box)
        pen = pen.white()
    else:
        pen.outlined(box, 0.75)
    size, rest = box.inset(3 * MM, 1.5 * MM).cut_left(box.width * 0.36, 4 * MM)
    pen.words(size, ticket.size, size=90, lines=2)
    colour, item = rest.cut_top(rest.height * 0.58)
    pen.words(colour, ticket.colour, size=36, lines=3, stand="bottom")
    shade, item = item.cut_right(9 * MM, GAP)
    pen.words(item, ticket.item, size=19, lines=3, stand="top")
    pen.words(shade, pen.say(ticket.shade), "regular", size=10, align="right", stand="bottom")


def _design(pen: Pen, ticket: Ticket, box: Box, art: ArtCorner) -> None:
    if ticket.pictured:
        share = PICTURE_MOST if len(ticket.pictured) == 1 else PICTURES_MOST
        corner, box = box.cut_left(min(box.height * len(ticket.pictured), box.width * share), 3 * MM)
        _pictures(pen, ticket, corner, art)
    beside = [each.said for each in ticket.prints if not (each.artwork and len(ticket.prints) > 1)]
    design, customer = box.cut_top(box.height * (0.45 if beside else 0.6))
    pen.words(design, ticket.design, size=18, lines=2, stand="bottom")
    if beside:
        prints, customer = customer.cut_top(customer.height * 0.45)
        pen.words(prints, ", ".join(beside), size=11.5, lines=2, stand="top")
    if ticket.customer:
        said = pen.say("for")
        word, customer = customer.cut_left(pen.width(said, "regular", size=11.5), 1 * MM)
        name = pen.words(customer, ticket.customer, "regular", size=11.5, lines=2, stand="top")
        pen.words(word, said, "regular", size=name.size, stand="top")


def _pictures(pen: Pen, ticket: Ticket, box: Box, art: ArtCorner) -> None:
    """The picture of each place, as they are printed in turn; of several, with name and size."""
    cells = box.columns(len(ticket.pictured), 1.5 * MM)
    for cell, printed in zip(cells, ticket.pictured, strict=True):
        name, picture = cell.cut_top(PLACE, 0.5 * MM) if len(ticket.prints) > 1 else (None, cell)
        if name:
            place, size = name.rows(2)
            pen.words(place, printed.place, size=9, least=5, align="middle")
            pen.words(size, printed.size, "regular", size=7, least=4.5, align="middle")
        if printed.artwork:
            art.draw(pen, picture, printed.artwork, ticket.shade)


def _code(pen: Pen, ticket: Ticket, box: Box) -> None:
    drawn = symbols(pen, ticket.code, box)
    left = (drawn.qr or drawn.bars).right + 0.5 * MM
    word, numbers = Box(left, box.y, box.right - left, box.height).inset(0, 2.5 * MM).cut_top(3.5 * MM)
    pen.words(word, pen.say("piece"), "regular", size=8, align="right")
    all_of_them = pen.say("of {count}", count=ticket.of)
    of, number = numbers.cut_right(pen.width(all_of_them, size=14), 1.3 * MM)
    pen.words(number, str(ticket.number), size=40, align="right", stand="baseline")
    pen.words(of, all_of_them, size=14, align="right", stand="baseline")


def _foot(pen: Pen, box: Box) -> None:
    line, words = box.cut_top(pen.whole(0.25), 0.4 * MM)
    pen.filled(line)
    cautions = pen.say(
        "A heat press burns and pinches. Ventilate curing and pretreat spray. Read the safety data of ink, pretreat "
        "and cover sheet. Cured prints on tile, wood or ceramic are not food-safe. The makers' instructions, local "
        "codes and licensed practice come before any number on this ticket."
    )
    pen.words(words, cautions, "regular", size=6.2, least=5, lines=3)
