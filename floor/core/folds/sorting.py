"""Lists that are kept in order, and the place of a piece among the open and the ended ones.

Never sorts a whole list: nearly everything arrives in order.
"""

from bisect import insort
from datetime import datetime
from typing import TypeVar

from floor.core.folds.lying import note_lying
from floor.core.state.floor import Floor
from floor.core.state.piece import Piece
from shared.events.recorded import BY_MOMENT, Recorded

T = TypeVar("T", datetime, tuple[datetime, str])


def sort_in(floor: Floor, piece: Piece) -> None:
    """A piece moves between the open ones and the ended ones, some of which lie in a press still."""
    note_lying(floor, piece)
    if piece.state == "open":
        floor.open[piece.code] = piece
        return
    floor.open.pop(piece.code, None)
    if piece.ended:
        add_sorted(floor.ended, (piece.ended, piece.code))


def add_sorted(items: list[T], item: T) -> None:
    """Nearly everything belongs at the end: looking for its place each time would cost more than the rest of a fold."""
    if items and item < items[-1]:
        insort(items, item)
    else:
        items.append(item)


def add_row(rows: list[Recorded], row: Recorded) -> None:
    """A row finds its place by when it occurred; of two at one moment the later to arrive comes behind."""
    if rows and row.occurred_at < rows[-1].occurred_at:
        insort(rows, row, key=BY_MOMENT)
    else:
        rows.append(row)
