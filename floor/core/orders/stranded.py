"""Pieces that went into a station which the shop file no longer has, or at which their step is no longer done.

Never moves one: it is told where they are, so that the file can be mended or the step done anew.
"""

from collections.abc import Iterator
from typing import NamedTuple

from floor.core.state.floor import Floor
from shared.files.shop import Shop


class Stranded(NamedTuple):
    """A piece, its job, the step that it is in, and the station that is gone."""

    piece: str
    job: str
    step: str
    station: str


def stranded(floor: Floor, shop: Shop) -> Iterator[Stranded]:
    """Every piece that nobody can scan out where it went in."""
    for piece in floor.present():
        step, station = piece.step, piece.walk[piece.position].station if piece.in_work else None
        if step and station and not shop.does(station, step.key):
            yield Stranded(piece.code, piece.job, step.label, station)
