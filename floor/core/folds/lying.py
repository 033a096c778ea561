"""Pieces that were spoiled or given up in a closed press: they lie in it until it is opened, and it is not free.

Never touches the walk of a piece.
"""

from bisect import insort
from collections.abc import Collection

from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from floor.core.state.station import UNDOABLE_MAX
from shared.events.recorded import Recorded


def note_lying(floor: Floor, piece: Piece) -> None:
    """A piece is kept among those that lie in a press, or no longer."""
    if piece.given_up and (press := piece.press):
        floor.station(press).dead.add(piece.code)
    if _lies(floor, piece):
        floor.lying[piece.code] = piece
    else:
        floor.lying.pop(piece.code, None)


def note_opened(floor: Floor, press: str, row: Recorded) -> None:
    """A press was open when another piece was scanned in or out: what lay in it did so no longer."""
    openings = floor.station(press).openings
    insort(openings, (row.occurred_at, row.seq))
    del openings[:-UNDOABLE_MAX]
    for piece in list(floor.lying.values()):
        note_lying(floor, piece)


def forget_openings(floor: Floor, press: str, rows: Collection[int]) -> None:
    """What showed that a press was open was taken back: what lay in it does so still."""
    station = floor.station(press)
    station.openings = [opening for opening in station.openings if opening[1] not in rows]
    for code in station.dead:
        note_lying(floor, floor.pieces[code])


def _lies(floor: Floor, piece: Piece) -> bool:
    """Whoever spoils a piece at its press when its time is over has it in their hands."""
    given_up, spoiled = piece.given_up, piece.spoiled
    if given_up is None or piece.taken_out or (press := piece.press) is None:  # the first is what nearly all are
        return False
    if spoiled and piece.comes_out(spoiled.station, spoiled.at):
        return False
    opened = floor.station(press).opened
    return opened is None or opened <= given_up
