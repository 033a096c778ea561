"""The ink that a print took: as it was read, or else as it is estimated, calibrated.

Never changes what a job was quoted at.
"""

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from floor.core.state.floor import Floor
from floor.core.state.ink_book import InkBook
from floor.core.state.piece import Piece
from shared.money import measured
from shared.route import INKS, InkName, Step, Uses


class InkUsed(NamedTuple):
    """Millilitres, to a billionth. `measured`: at least one of the inks was read."""

    white_ml: Decimal
    colour_ml: Decimal
    measured: bool

    def ml(self, ink: InkName) -> Decimal:
        """The millilitres of one ink."""
        return self.white_ml if ink == "white" else self.colour_ml


class Printed(Struct, frozen=True, kw_only=True):
    """One ink of one print. `estimated_ml` is before a factor; None where the job file told the ink."""

    piece: str
    step: Step
    ink: InkName
    at: datetime
    """When the step was done or taken as done; before that, when it was read."""
    ml: Decimal
    measured: bool
    estimated_ml: Decimal | None


def ink_used(floor: Floor, piece: Piece, step_index: int) -> InkUsed:
    """The ink that one step of a piece took, or takes: the latest reading, else the estimate.

    An estimate is by the factor that was in force when the step was done; before that, as it was quoted.
    """
    uses, book = piece.route[step_index].uses, floor.supplies.ink
    read = book.readings_of(piece.code, step_index)
    at = piece.walk[step_index].over_at
    white, colour = (read[ink].amount if ink in read else _estimate(book, uses, ink, at) for ink in INKS)
    return InkUsed(measured(white), measured(colour), bool(read))


def _estimate(book: InkBook, uses: Uses, ink: InkName, at: datetime | None) -> Decimal:
    ml = uses.ink_ml(ink)
    if at is None or uses.estimated_ml is None or not ml:
        return ml
    return uses.estimated_ml * book.factor_at(ink, at)


def as_inked(floor: Floor, piece: Piece, step_index: int) -> Step:
    """A step of a piece with the ink that it took in place of the ink that it was quoted with."""
    step = piece.route[step_index]
    if not (step.uses.white_ml or step.uses.colour_ml or floor.supplies.ink.readings_of(piece.code, step_index)):
        return step
    white_ml, colour_ml, _ = ink_used(floor, piece, step_index)
    return replace(step, uses=replace(step.uses, white_ml=white_ml, colour_ml=colour_ml))


def printed(floor: Floor) -> Iterator[Printed]:
    """Every ink of every print that was done, taken as done, or read."""
    for piece in floor.pieces.values():
        yield from printed_on(floor, piece)


def printed_on(floor: Floor, piece: Piece) -> Iterator[Printed]:
    """The same, of one piece."""
    for index in range(len(piece.route)):
        yield from _printed(floor, piece, index)


def _printed(floor: Floor, piece: Piece, index: int) -> Iterator[Printed]:
    step, read = piece.route[index], floor.supplies.ink.readings_of(piece.code, index)
    for ink in INKS:
        at = piece.walk[index].over_at or (read[ink].at if ink in read else None)
        if at is None or not (step.uses.ink_ml(ink) or ink in read):
            continue
        yield Printed(
            piece=piece.code,
            step=step,
            ink=ink,
            at=at,
            ml=ink_used(floor, piece, index).ml(ink),
            measured=ink in read,
            estimated_ml=step.uses.estimated_ml if step.uses.ink_ml(ink) else None,
        )
