"""Steps that nobody can do just now, for no station that does them works.

Never says when one will work again: nobody knows.
"""

from collections.abc import Set
from itertools import chain

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from shared.files.shop import Shop


def stopped(floor: Floor, shop: Shop) -> frozenset[str]:
    """The steps that have stations, all of which are down."""
    down = {name for name in floor.stations if floor.down_since(name)}
    return frozenset(key for key in shop.file.steps if (names := shop.stations_for(key)) and down.issuperset(names))


def kept_by(piece: Piece, steps: Set[str]) -> str | None:
    """Which of the stopped steps keeps a waiting piece where it is: its own, or the press that must soon follow it."""
    own, then = piece.route[piece.position :][:1], piece.route[piece.position + 1 :][:1]
    pressed = (step for step in then if step.is_press and step.wait_limit_s is not None)
    return next((step.key for step in chain(own, pressed) if step.key in steps), None)
