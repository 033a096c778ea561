"""What each blank was bought for, and what is left of those that came in: first in, first out.

Never invents a receipt: a blank that was drawn when none of those received was left has no purchase cost.
"""

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from msgspec import Struct

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from floor.core.state.receipts import Blank, BlankReceipt


class Draw(NamedTuple):
    """A blank was taken for a piece, at the first that was seen of it."""

    at: datetime
    piece: str


class OnHand(Struct, frozen=True, kw_only=True):
    """What came in of a blank, what was drawn of it, and what is left, at its cost.

    `unreceived` were drawn when nothing that came in was left.
    """

    item: str
    colour: str
    size: str
    received: int
    drawn: int
    unreceived: int
    on_hand: int
    worth: Decimal


def purchase_costs(floor: Floor) -> dict[str, Decimal]:
    """By piece: what its blank was bought for. Pieces whose blank nobody received are left out.

    First in, first out, as IAS 2 allows it: what came in first is drawn first.
    """
    return {
        piece: cost
        for blank, draws in _draws(floor).items()
        for piece, cost in _drawn(floor.supplies.receipts.of[blank], draws, deque())
    }


def on_hand(floor: Floor) -> list[OnHand]:
    """Every blank that ever came in."""
    draws = _draws(floor)
    return [_on_hand(blank, received, draws[blank]) for blank, received in sorted(floor.supplies.receipts.of.items())]


def _on_hand(blank: Blank, received: Sequence[BlankReceipt], draws: Sequence[Draw]) -> OnHand:
    left: deque[BlankReceipt] = deque()
    drawn = len(list(_drawn(received, draws, left)))
    return OnHand(
        **blank._asdict(),
        received=sum(each.quantity for each in received),
        drawn=drawn,
        unreceived=len(draws) - drawn,
        on_hand=sum(each.quantity for each in left),
        worth=sum((each.quantity * each.cost_each for each in left), Decimal(0)),
    )


def _draws(floor: Floor) -> dict[Blank, list[Draw]]:
    """What was drawn of every blank that ever came in, in the order of the moments."""
    received = floor.supplies.receipts.of
    draws: dict[Blank, list[Draw]] = defaultdict(list)
    for piece in floor.pieces.values() if received else ():
        if piece.drawn and (blank := blank_of(floor, piece)) in received:
            draws[blank].append(Draw(piece.drawn, piece.code))
    for its in draws.values():
        its.sort()
    return draws


def blank_of(floor: Floor, piece: Piece) -> Blank:
    """What a piece is made from."""
    line = floor.line_of(piece)
    return Blank(line.item, line.colour, piece.size)


def _drawn(
    received: Iterable[BlankReceipt], draws: Iterable[Draw], left: deque[BlankReceipt]
) -> Iterator[tuple[str, Decimal]]:
    """Pieces with the cost of their blanks; what is left when all is drawn goes into `left`."""
    coming = deque(each for each in received if each.quantity)
    for at, piece in draws:
        while coming and coming[0].at <= at:
            left.append(coming.popleft())
        if left:
            first = left.popleft()
            if first.quantity > 1:
                left.appendleft(first._replace(quantity=first.quantity - 1))
            yield piece, first.cost_each
    left.extend(coming)
