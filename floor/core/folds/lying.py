"""Pieces that were spoiled or given up in a closed press: they lie in it until it is opened, and it is not free.

Never touches the walk of a piece.
"""

from datetime import datetime

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece


def note_lying(floor: Floor, piece: Piece) -> None:
    """A piece is kept among those that lie in a press, or no longer."""
    if _lies(floor, piece):
        floor.lying[piece.code] = piece
    else:
        floor.lying.pop(piece.code, None)


def note_opened(floor: Floor, press: str, at: datetime) -> None:
    """A press was open when another piece was scanned in or out: what lay in it did so no longer."""
    station = floor.station(press)
    station.opened = max(station.opened or at, at)
    for piece in list(floor.lying.values()):
        note_lying(floor, piece)


def _lies(floor: Floor, piece: Piece) -> bool:
    """Whoever spoils a piece at its press when its time is over has it in their hands."""
    given_up, spoiled = piece.given_up, piece.spoiled
    if given_up is None or piece.taken_out or (press := piece.press) is None:  # the first is what nearly all are
        return False
    if spoiled and piece.comes_out(spoiled.station, spoiled.at):
        return False
    opened = floor.station(press).opened
    return opened is None or opened <= given_up
