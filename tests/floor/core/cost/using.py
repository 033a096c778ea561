"""What went into one piece, for the tests of its cost.

Never asked for a whole week: each call works all times out anew.
"""

from floor.core.cost.actual import Costs
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from floor.core.times.cycle import Walks
from shared.files.shop import Shop
from shared.money import Costing


def used(floor: Floor, shop: Shop, piece: Piece) -> Costing:
    """Everything that went into one piece so far."""
    return Costs(Walks(floor, shop), shop).of(piece)
