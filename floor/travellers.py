"""Pieces as tickets, and the cards of a shop: what tickets draws, filled from the floor.

Never draws.
"""

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import BinaryIO

import shared.cards
from floor.state import Floor, Piece
from floor.wording import full_moment
from shared.cards import COMMANDS
from shared.codes import CodeType
from shared.events import PrintSize
from shared.shop import Shop
from tickets.cards import Card, CardKind, cards
from tickets.stock import CARD_SHEETS, STOCKS
from tickets.traveller import Ticket, travellers


def tickets_of(floor: Floor, shop: Shop, folder: Path, pieces: Iterable[Piece]) -> list[Ticket]:
    """All that stands on the travellers of some pieces, taken from the floor: it may change while they are drawn."""
    return [_ticket(floor, shop, folder, piece) for piece in pieces]


def write_travellers(tickets: Sequence[Ticket], shop: Shop, out: BinaryIO, stock: str | None = None) -> None:
    """Travellers as a PDF; on the shop's own stock when none is named.

    Raises ValueError for a stock that does not exist.
    """
    name = stock or shop.file.shop.stock
    if name not in STOCKS:
        raise ValueError(f"There is no stock {name!r}; there are: {', '.join(STOCKS)}.")
    travellers(tickets, STOCKS[name], out)


def _ticket(floor: Floor, shop: Shop, folder: Path, piece: Piece) -> Ticket:
    job = floor.jobs[piece.job]
    line = job.line(piece.line)
    picture = next(iter(line.artwork.values()), None)
    return Ticket(
        shop=shop.name,
        code=piece.code,
        job=job.code,
        customer=job.order.customer,
        due=full_moment(job.order.due, shop.hours.zone),
        item=line.item,
        colour=line.colour,
        shade=line.shade,
        size=piece.size,
        number=piece.number,
        of=line.quantity,
        design=line.design,
        prints=tuple(_print(place, line.print_sizes) for place in line.places),
        steps=piece.route,
        artwork=folder / picture if picture else None,
        remake_of=piece.remake_of,
    )


def _print(place: str, sizes: Mapping[str, PrintSize]) -> str:
    if place not in sizes:
        return place
    width, height = (f"{side.normalize():f}" for side in (sizes[place].width_mm, sizes[place].height_mm))
    return f"{place} {width} × {height} mm"


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
    CodeType.REASON: "It spoils the piece read here in the last 30 s; else the piece read next.",
    CodeType.CARE: "Read it when the task is done.",
}


def write_cards(shop: Shop, out: BinaryIO, paper: str = "a4") -> None:
    """Every card of a shop as a PDF."""
    cards([_card(card) for card in shop.cards.values()], CARD_SHEETS[paper], out)


def _card(card: shared.cards.Card) -> Card:
    note = COMMANDS[card.name] if card.type is CodeType.COMMAND else NOTES[card.type]
    return Card(code=card.code, kind=KINDS[card.type], title=card.name, note=note)
