"""Pieces as tickets, and the cards of a shop, in its language: what tickets draws, filled from the floor.

Never draws.
"""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import BinaryIO

import shared.files.cards
from floor.core.rules.spoiling import PAIR_S
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from shared.codes import CodeType
from shared.events.jobs import Line, PrintSize
from shared.files.cards import COMMANDS
from shared.files.shop import Shop
from shared.wording import full_moment
from shared.words import Words
from tickets.cards import CardKind, PrintedCard, cards
from tickets.kit.paper import CARD_SHEETS, PAPERS
from tickets.settings import number
from tickets.traveller import OnTicket, Placed, Ticket, travellers


def tickets_of(floor: Floor, shop: Shop, folder: Path, pieces: Iterable[Piece]) -> list[Ticket]:
    """All that stands on the travellers of some pieces, taken from the floor: it may change while they are drawn."""
    return [_ticket(floor, shop, folder, piece) for piece in pieces]


def write_travellers(
    tickets: Sequence[Ticket],
    shop: Shop,
    out: BinaryIO,
    stock: str | None = None,
    on_ticket: OnTicket = lambda _drawn: None,
) -> None:
    """Travellers as a PDF; on the shop's own stock when none is named. After each, how many are drawn is told.

    Raises ValueError for a stock that does not exist.
    """
    name = stock or shop.file.shop.stock
    if name not in PAPERS:
        raise ValueError(f"There is no stock {name!r}; there are: {', '.join(PAPERS)}.")
    travellers(tickets, PAPERS[name].printed_at(shop.file.shop.printer_dpi), out, shop.words, on_ticket)


def _ticket(floor: Floor, shop: Shop, folder: Path, piece: Piece) -> Ticket:
    job = floor.jobs[piece.job]
    line = job.line(piece.line)
    return Ticket(
        shop=shop.name,
        code=piece.code,
        job=job.code,
        customer=job.customer,
        due=full_moment(job.due, shop.hours.zone, shop.words.language),
        item=line.item,
        colour=line.colour,
        shade=line.shade,
        size=piece.size,
        number=piece.number,
        of=line.quantity,
        design=line.design,
        prints=tuple(_placed(line, place, folder, shop.words) for place in line.places),
        steps=piece.route,
        remake_of=piece.remake_of,
    )


def _placed(line: Line, place: str, folder: Path, words: Words) -> Placed:
    size, picture = line.print_sizes.get(place), line.artwork.get(place)
    return Placed(
        place=place,
        size=_size(size, words) if size else "",
        artwork=folder / picture if picture else None,
    )


def _size(size: PrintSize, words: Words) -> str:
    width, height = (number(f"{side.normalize():f}", words) for side in (size.width_mm, size.height_mm))
    return f"{width} × {height} mm"


KINDS: dict[CodeType, CardKind] = {
    CodeType.STATION: "station",
    CodeType.BADGE: "badge",
    CodeType.REASON: "reason",
    CodeType.COMMAND: "command",
    CodeType.CARE: "care",
}

NOTES = {
    CodeType.STATION: "A roaming scanner that reads this card works here.",
    CodeType.BADGE: "Signs these hands in at the station.",
    CodeType.CARE: "Read it when the task is done.",
}


def write_cards(shop: Shop, out: BinaryIO, paper: str = "a4") -> None:
    """Every card of a shop as a PDF."""
    sheet = CARD_SHEETS[paper].printed_at(shop.file.shop.printer_dpi)
    cards([_card(card, shop) for card in shop.cards.values()], sheet, out, shop.words)


def _card(card: shared.files.cards.Card, shop: Shop) -> PrintedCard:
    """A command is called something else in each language; its code is always made from its name."""
    title = shop.words.say(card.name) if card.type is CodeType.COMMAND else card.name
    return PrintedCard(code=card.code, kind=KINDS[card.type], title=title, note=_note(card, shop))


def _note(card: shared.files.cards.Card, shop: Shop) -> str:
    """What reading a card does."""
    if card.type is CodeType.COMMAND:
        return shop.words.say(COMMANDS[card.name])
    if card.type is not CodeType.REASON:
        return shop.words.say(NOTES[card.type])
    if shop.file.shop.reason_card == "before":
        return shop.words.say("It spoils the piece read next, within {seconds} s.", seconds=PAIR_S)
    either = "It spoils the piece read here in the last {seconds} s; else the piece read next."
    return shop.words.say(either, seconds=PAIR_S)
